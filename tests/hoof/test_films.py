"""The limits of films: what is an alert at first sight, and what error alone could explain."""

import pytest

from measurements.hoof.films import steep_palmar_angle, uneven_palmar_angles, uneven_soles
from measurements.hoof.quantities import Method
from measurements.hoof.shape import negative_palmar_angle, thin_sole
from measurements.hoof.shape_finding import Measured, ShapeFinding, ShapeRule, shape_weight
from measurements.hoof.shape_sentences import sentence


def film(value: float) -> Measured:
    return Measured(value, 1.0, Method.RADIOGRAPH)


def weight(finding: ShapeFinding | None) -> str | None:
    return shape_weight(finding, None, first_look=True) if finding else None


@pytest.mark.parametrize(
    ("angle", "heavy"), [(10.0, None), (10.1, "remark"), (11.9, "remark"), (12.0, "alert")]
)
def test_a_steep_palmar_angle_alerts_beyond_the_error(angle: float, heavy: str | None) -> None:
    assert weight(steep_palmar_angle(film(angle))) == heavy


@pytest.mark.parametrize(
    ("angle", "heavy"), [(0.0, None), (-1.9, "remark"), (-2.0, "alert"), (-4.5, "alert")]
)
def test_a_bone_below_level_alerts_beyond_the_error(angle: float, heavy: str | None) -> None:
    assert weight(negative_palmar_angle(film(angle))) == heavy


@pytest.mark.parametrize(
    ("depth", "heavy"), [(15.0, None), (14.9, "remark"), (13.0, "alert"), (7.0, "alert")]
)
def test_a_thin_sole_alerts_beyond_the_error(depth: float, heavy: str | None) -> None:
    assert weight(thin_sole(film(depth))) == heavy


@pytest.mark.parametrize(
    ("left", "right", "heavy"),
    [(4.0, 6.0, None), (4.0, 6.5, "remark"), (4.0, 8.7, "remark"), (4.0, 8.8, "alert")],
)
def test_left_and_right_films_alert_when_they_differ_beyond_the_error(
    left: float, right: float, heavy: str | None
) -> None:
    assert weight(uneven_palmar_angles(film(left), film(right))) == heavy
    assert weight(uneven_palmar_angles(film(right), film(left))) == heavy


def test_soles_of_a_pair_that_differ_are_told_of() -> None:
    finding = uneven_soles(film(18), film(26))
    assert finding is not None
    assert (finding.rule, finding.size, weight(finding)) == (ShapeRule.UNEVEN_SOLES, 8, "alert")
    words = sentence(finding, "front feet", "3 Sep 2026")
    assert words == (
        "On 3 Sep 2026 the soles of the front feet on the radiographs differed by 8 mm "
        "(left 18 mm, right 26 mm)."
    )


def test_a_danger_that_was_there_before_is_an_alert_all_the_same() -> None:
    finding = thin_sole(film(8))
    assert finding is not None
    assert shape_weight(finding, finding) == "alert"


def test_a_sole_just_under_the_limit_is_not_rounded_up_to_it() -> None:
    finding = thin_sole(film(14.6))
    assert finding is not None
    said = sentence(finding, "left fore", "today")
    assert "was 14.6 mm deep; one rule, of several, wants 15 mm or more." in said


@pytest.mark.parametrize(("depth", "rings"), [(9.9, True), (10.0, False)])
def test_under_ten_millimetres_the_vet_is_rung(depth: float, rings: bool) -> None:
    finding = thin_sole(film(depth))
    assert finding is not None
    assert ("Ring the vet" in sentence(finding, "left fore", "today")) is rings
