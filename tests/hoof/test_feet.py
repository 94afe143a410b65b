"""The four feet, their partners and their names."""

import pytest

from measurements.hoof.feet import Foot, is_fore, is_left, label, partner, side_word


def test_the_partner_is_the_same_pair_on_the_other_side():
    for foot in Foot:
        other = partner(foot)
        assert is_fore(other) == is_fore(foot)
        assert is_left(other) != is_left(foot)
        assert partner(other) is foot


@pytest.mark.parametrize(
    ("foot", "left_right", "near_off"),
    [
        (Foot.LF, "left fore", "near fore"),
        (Foot.RF, "right fore", "off fore"),
        (Foot.LH, "left hind", "near hind"),
        (Foot.RH, "right hind", "off hind"),
    ],
)
def test_a_foot_is_named_both_ways(foot, left_right, near_off):
    assert foot.label == label(foot) == left_right
    assert label(foot, "near_off") == near_off


def test_a_side_has_words():
    assert side_word("left", "near_off") == "near"
    assert side_word("right") == "right"


def test_the_codes_are_the_usual_two_letters():
    assert [str(foot) for foot in Foot] == ["LF", "RF", "LH", "RH"]
