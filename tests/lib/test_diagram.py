"""Where a drawing puts the four feet, and which it marks."""

from caseboard.lib.diagram import diagram_feet, diagram_foot


def test_the_fore_feet_stand_above_and_the_left_feet_on_the_left() -> None:
    assert [(foot.code, foot.is_left, foot.is_hind) for foot in diagram_feet("")] == [
        ("LF", True, False),
        ("RF", False, False),
        ("LH", True, True),
        ("RH", False, True),
    ]


def test_feet_are_marked_from_a_text_or_from_a_list() -> None:
    for marked in ("LF RH", ["LF", "RH"]):
        assert [foot.code for foot in diagram_feet(marked) if foot.is_marked] == ["LF", "RH"]


def test_what_is_no_foot_is_not_drawn() -> None:
    assert diagram_foot("unsure") is None
