"""Pages go out compressed; what is packed already does not, and no secret can be guessed by size."""

import gzip
from typing import cast

import pytest
from django.http import HttpResponse
from django.test import Client, RequestFactory

from caseboard.http.compress import CompressMiddleware
from tests.cast import Cast

ACCEPTS = {"Accept-Encoding": "gzip, deflate, br"}


@pytest.fixture
def people(request: pytest.FixtureRequest) -> Cast:
    return cast(Cast, request.getfixturevalue("cast"))


@pytest.mark.django_db
def test_a_board_is_a_fraction_of_its_size(client: Client, people: Cast) -> None:
    client.force_login(people.owner)
    path = f"/cases/{people.case.public_id}/"
    plain = client.get(path)
    packed = client.get(path, headers=ACCEPTS)
    assert packed["Content-Encoding"] == "gzip"
    assert "Accept-Encoding" in packed["Vary"]
    assert len(packed.content) * 3 < len(plain.content)
    assert b"</html>" in gzip.decompress(packed.content)


def sent(answer: HttpResponse) -> HttpResponse:
    middleware = CompressMiddleware(lambda request: answer)
    return cast(HttpResponse, middleware(RequestFactory().get("/", headers=ACCEPTS)))


@pytest.mark.parametrize("kind", ["application/pdf", "image/jpeg", "application/zip"])
def test_what_is_packed_already_goes_out_as_it_is(kind: str) -> None:
    assert "Content-Encoding" not in sent(HttpResponse(b"a" * 5000, content_type=kind))


def test_the_same_page_has_not_always_the_same_size() -> None:
    """A guess beside a secret cannot be measured by how well the two pack together."""
    page = b"the same words again and again " * 300
    assert len({len(sent(HttpResponse(page)).content) for _ in range(20)}) > 3
