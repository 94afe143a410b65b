from typing import Any
from urllib.parse import parse_qs, urlsplit

import pytest
from django.test import Client
from django.urls import reverse

from horses.models import Person

pytestmark = [pytest.mark.django_db, pytest.mark.urls("tests.caseboard.trouble_urls")]
HTMX = {"HX-Request": "true"}


@pytest.fixture
def person() -> Person:
    return Person.objects.create_user("sam@example.org", "Sam")


@pytest.fixture
def signed_in(person: Person) -> Client:
    client = Client(raise_request_exception=False)
    client.force_login(person)
    return client


def test_a_closed_page_leads_to_sign_in_and_back(client: Client) -> None:
    response = client.get("/closed/?foot=LF")
    there = urlsplit(response["Location"])
    assert response.status_code == 302
    assert there.path == reverse("account_request_login_code")
    assert parse_qs(there.query)["next"] == ["/closed/?foot=LF"]


def test_a_page_marked_open_is_shown_to_anyone(client: Client) -> None:
    assert client.get("/wide-open/").content == b"for all"


def test_the_sign_in_page_itself_is_open(client: Client) -> None:
    assert client.get(reverse("account_request_login_code")).status_code == 200


def test_a_part_of_a_page_says_signed_out_and_leaves_the_page_as_it_is(client: Client) -> None:
    response = client.get("/closed/", headers=HTMX)
    assert (response.status_code, response.content) == (401, b"")
    assert response["HX-Reswap"] == "none"
    assert "HX-Redirect" not in response


def test_a_signed_in_person_passes(signed_in: Client) -> None:
    assert signed_in.get("/closed/").status_code == 200


def test_someone_switched_off_is_signed_out_on_the_next_request(
    signed_in: Client, person: Person
) -> None:
    person.is_active = False
    person.save()
    assert signed_in.get("/closed/").status_code == 302


def test_the_answer_carries_the_id_that_the_page_saw(signed_in: Client) -> None:
    response = signed_in.get("/closed/")
    assert response["X-Request-ID"] == response.content.decode() != ""


def test_an_id_that_the_browser_sends_is_not_taken_over(signed_in: Client) -> None:
    response = signed_in.get("/closed/", headers={"X-Request-ID": "forged"})
    assert response["X-Request-ID"] != "forged"


def test_a_signed_in_page_is_kept_by_no_cache(signed_in: Client) -> None:
    assert signed_in.get("/closed/")["Cache-Control"] == "private, no-store"


def test_the_same_address_as_page_and_as_part_is_told_apart_by_caches(client: Client) -> None:
    assert "HX-Request" in client.get("/wide-open/")["Vary"]


def test_a_conflict_shows_both_texts_and_the_way_on(signed_in: Client) -> None:
    response = signed_in.post("/conflict/")
    page = response.content.decode()
    assert response.status_code == 409
    assert "my &lt;b&gt;words&lt;/b&gt;" in page
    assert "their words" in page
    assert 'href="/closed/"' in page


def test_too_many_says_how_long_to_wait(signed_in: Client) -> None:
    response = signed_in.post("/too-many/")
    assert (response.status_code, response["Retry-After"]) == (429, "42")
    assert "42 seconds" in response.content.decode()


@pytest.mark.parametrize(
    ("address", "status", "words"),
    [
        ("/not-here/", 404, "Nothing here"),
        ("/not-allowed/", 403, "That is for the vet of this case."),
        ("/broken/", 500, "our side"),
    ],
)
def test_each_trouble_has_its_page(
    signed_in: Client, address: str, status: int, words: str
) -> None:
    response = signed_in.get(address)
    assert response.status_code == status
    assert words in response.content.decode()


def test_a_broken_page_does_not_show_its_inside(signed_in: Client) -> None:
    assert "she bites" not in signed_in.get("/broken/").content.decode()


def test_too_large_a_form_is_answered_in_words(client: Client, settings: Any) -> None:
    settings.DATA_UPLOAD_MAX_MEMORY_SIZE = 1000
    response = client.post("/takes-text/", {"words": "x" * 2000})
    assert response.status_code == 413
    assert "Too much at once" in response.content.decode()


def test_too_many_fields_are_answered_in_words(client: Client, settings: Any) -> None:
    settings.DATA_UPLOAD_MAX_NUMBER_FIELDS = 5
    fields = {f"field{number}": "x" for number in range(9)}
    assert client.post("/takes-text/", fields).status_code == 413


def test_too_large_a_form_is_answered_in_words_before_the_csrf_check(settings: Any) -> None:
    settings.DATA_UPLOAD_MAX_MEMORY_SIZE = 1000
    strict = Client(enforce_csrf_checks=True)
    assert strict.post("/takes-text/", {"words": "x" * 2000}).status_code == 413


def test_a_form_within_the_limits_passes(client: Client) -> None:
    assert client.post("/takes-text/", {"words": "short"}).content == b"short"


def test_a_page_that_shows_no_count_of_notices_asks_for_none(
    signed_in: Client, django_assert_num_queries: Any
) -> None:
    with django_assert_num_queries(2):  # the session and the person
        signed_in.get("/closed/")


def test_a_page_with_the_head_line_asks_once_for_the_count_of_notices(
    signed_in: Client, django_assert_num_queries: Any
) -> None:
    with django_assert_num_queries(3):
        assert signed_in.get("/plain-page/").status_code == 200


def test_an_open_page_asks_nothing_of_the_database(
    client: Client, django_assert_num_queries: Any
) -> None:
    with django_assert_num_queries(0):
        client.get("/wide-open/")
