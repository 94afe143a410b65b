"""Whether a form was saved is asked by its key, of one's own forms only."""

import pytest

from tests.cast import Cast
from tests.horses.doors import Door

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]


@pytest.mark.parametrize(
    ("who", "key", "saved"),
    [
        ("vet", "k1", True),
        ("vet", "k2", False),
        ("owner", "k1", False),
        ("vet", "", False),
        ("vet", "k\0", False),
        ("vet", "k" * 9000, False),
    ],
)
def test_the_key_of_ones_own_form_says_whether_it_was_saved(
    who: str, key: str, saved: bool, cast: Cast
) -> None:
    Door(cast.vet, cast.case).post("exam_new", on="2026-11-01", words="Sore.", client_key="k1")
    client = Door(getattr(cast, who), cast.case).client
    assert client.get("/me/saved/", {"key": key}).json() == {"saved": saved}
