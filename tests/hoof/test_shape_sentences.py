"""What a rule found, in words a farrier can read aloud."""

import pytest

from measurements.hoof.films import steep_palmar_angle, uneven_palmar_angles, uneven_soles
from measurements.hoof.quantities import Method
from measurements.hoof.shape import (
    hoof_pastern_axis,
    long_toe,
    narrow_frog,
    negative_palmar_angle,
    sheared_heels,
    small_feet,
    thin_sole,
    underrun_heel,
    uneven_pair,
)
from measurements.hoof.shape_finding import Measured, ShapeRule
from measurements.hoof.shape_sentences import Wording, sentence
from tests.hoof.build import the

DAY = "3 Nov 2026"
MEASURE_AGAIN = "It may be past that by measuring error alone: measure again, please."


def by(method, value, sd=1.0):
    return Measured(value, sd, method)


def gauge(value):
    return by(Method.GAUGE, value)


def tape(value):
    return by(Method.TAPE, value, 2.0)


FINDINGS = [
    (
        the(underrun_heel(gauge(50), gauge(42.04))),
        "left fore",
        "the left fore heel angle (42.0°) was 8.0° under its toe angle (50.0°); "
        "from 5° on it is called underrun.",
    ),
    (
        the(hoof_pastern_axis(gauge(48), gauge(54))),
        "right hind",
        "the front of the right hind hoof (48.0°) stood 6.0° lower than its pastern (54.0°); "
        "over 3.0° it is called broken back.",
    ),
    (
        the(hoof_pastern_axis(gauge(58), gauge(50))),
        "left fore",
        "the front of the left fore hoof (58.0°) stood 8.0° steeper than its pastern (50.0°); "
        "over 3.0° it is called broken forward.",
    ),
    (
        the(sheared_heels(tape(46), tape(35))),
        "left fore",
        "the inside heel of the left fore was 11 mm longer than the other; "
        "from 5 mm on the heels are called sheared.",
    ),
    (
        the(uneven_pair(gauge(55), gauge(50))),
        "front feet",
        "the toe angles of the front feet differed by 5.0° (left 55.0°, right 50.0°); "
        "over 1.5° they are called uneven.",
    ),
    (
        the(small_feet(600, 22.7, tape(300))),
        "left fore",
        "the left fore was small for a horse of 600 kg: its size index was 8.38 kg/cm², "
        "and over 5.48 a foot is called small.",
    ),
    (
        the(narrow_frog(tape(30), tape(60))),
        "left fore",
        "the left fore frog was narrow: width over length was 0.50; under 0.67 is one definition "
        "of narrow heels, which many ordinary feet meet.",
    ),
    (
        the(negative_palmar_angle(by(Method.RADIOGRAPH, -4))),
        "left fore",
        "the left fore palmar angle on the radiograph was −4.0°; under 0° is below level.",
    ),
    (
        the(negative_palmar_angle(by(Method.RADIOGRAPH, -4))),
        "off hind",
        "the off hind plantar angle on the radiograph was −4.0°; under 0° is below level.",
    ),
    (
        the(thin_sole(by(Method.RADIOGRAPH, 9))),
        "left fore",
        "the left fore sole on the radiograph was 9 mm deep; one rule, of several, "
        "wants 15 mm or more. Ring the vet before anybody cuts.",
    ),
    (
        the(steep_palmar_angle(by(Method.RADIOGRAPH, 13))),
        "left fore",
        "the left fore palmar angle on the radiograph was 13.0°, over 10.0°.",
    ),
    (
        the(uneven_palmar_angles(by(Method.RADIOGRAPH, 8), by(Method.RADIOGRAPH, 2))),
        "front feet",
        "the palmar angles of the front feet on the radiographs differed by 6.0° "
        "(left 8.0°, right 2.0°).",
    ),
    (
        the(uneven_soles(by(Method.RADIOGRAPH, 18), by(Method.RADIOGRAPH, 10))),
        "hind feet",
        "the soles of the hind feet on the radiographs differed by 8 mm (left 18 mm, right 10 mm).",
    ),
    (
        the(long_toe(tape(105), 450)),
        "left fore",
        "the left fore toe was 105 mm long; a rule of thumb for 450 kg is 83 mm, and over 6 mm "
        "more is called long here, which many ordinary feet are.",
    ),
]


@pytest.mark.parametrize(("finding", "foot", "said"), FINDINGS, ids=lambda part: str(part)[:25])
def test_each_finding_is_said_plainly(finding, foot, said):
    assert sentence(finding, foot, DAY) == f"On 3 Nov 2026 {said}"


def test_every_rule_has_its_sentence():
    assert {finding.rule for finding, _foot, _said in FINDINGS} == set(ShapeRule)


def test_different_methods_are_said():
    said = sentence(the(underrun_heel(gauge(52), by(Method.PHOTO, 42, 1.5))), "left fore", DAY)
    assert said.endswith(
        "One was measured by hoof gauge, the other by photo, which do not compare exactly."
    )


def test_methods_of_the_frog_are_said_too():
    said = sentence(the(narrow_frog(tape(20), by(Method.PHOTO, 60, 3))), "left fore", DAY)
    assert "One was measured by tape or caliper, the other by photo" in said


def test_what_error_could_explain_asks_to_measure_again():
    assert sentence(the(sheared_heels(tape(40), tape(35))), "left fore", DAY).endswith(
        MEASURE_AGAIN
    )
    assert MEASURE_AGAIN not in sentence(the(sheared_heels(tape(46), tape(35))), "left fore", DAY)


def test_a_reader_gets_their_own_units_and_sides():
    wording = Wording(side_style="near_off", length_unit="in", weight_unit="lb")
    assert "was 0.28 in longer" in sentence(
        the(sheared_heels(tape(42), tape(35))), "near fore", DAY, wording
    )
    assert "(near 55.0°, off 50.0°)" in sentence(
        the(uneven_pair(gauge(55), gauge(50))), "front feet", DAY, wording
    )
    said = sentence(the(small_feet(600, 22.7, tape(300))), "near fore", DAY, wording)
    assert "a horse of 1323 lb: its size index was 119 lb/in², and over 78 a foot" in said
