"""The form of a visit, filled in by somebody who means harm or slips."""

from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from horses.models import Visit
from tests.cast import Cast
from tests.horses.doors import text_of
from tests.measurements.visit_form import send

pytestmark = pytest.mark.usefixtures("clock_stands")


@pytest.mark.parametrize("role_words", ["<script>alert(1)</script>", "\u202eevil", "a\x00b"])
def test_hostile_words_are_kept_harmless(cast: Cast, role_words: str) -> None:
    send(cast, "LF", words=role_words, **{"LF-words": role_words})
    kept = Visit.objects.get(status="kept")
    assert "\x00" not in kept.words
    assert "\u202e" not in kept.words


def test_words_that_are_too_long_are_kept_and_said(cast: Cast) -> None:
    answer = send(cast, "LF", words="x" * 6000)
    assert answer.status_code == 422
    assert "x" * 6000 in text_of(answer)


HOSTILE = st.one_of(
    st.sampled_from(
        [
            "NaN",
            "1e308",
            "-1",
            "inf",
            "",
            " ",
            "5\x002",
            "⁵²",
            "5²",
            "½",
            "1,100",
            "52°" * 20,
            "0001-01-01",
            "9999-12-31",
            "'; --",
            "<b>",
            "\u202e52",
            "x" * 5000,
        ]
    ),
    st.text(st.characters(exclude_categories=["Cs"]), max_size=30),
)


NAMES = st.sampled_from(
    [
        "kept_on",
        "next_on",
        "planned",
        "words",
        "angle_method",
        "length_method",
        "client_key",
        "LF-trimmed",
        "LF-shoe",
        "LF-wedge",
        "LF-left",
        "LF-words",
        "LF-toe_angle-before",
        "LF-toe_angle-after",
        "LF-toe_length-after",
        "RH-sole_depth-after",
        "method-toe_angle",
        "LF-toe_angle-after-sure",
        "item-zzz-result",
        "unknown",
    ]
)


@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(sent=st.dictionaries(NAMES, st.one_of(HOSTILE, st.lists(HOSTILE, max_size=3))))
def test_no_form_breaks_the_page(cast: Cast, sent: dict[str, Any]) -> None:
    assert send(cast, "LF", **sent).status_code in (302, 422, 409)
