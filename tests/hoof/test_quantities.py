"""Quantities, their ranges and their measuring errors."""

import copy
import math
import pickle

import pytest

from measurements.hoof.errors import HoofError
from measurements.hoof.feet import Foot
from measurements.hoof.growth import growth_prior
from measurements.hoof.quantities import (
    BODY_WEIGHT,
    QUANTITIES,
    Method,
    MethodDoesNotFit,
    Moment,
    RangeCheck,
    Shoeing,
    TrimState,
    error_sd,
    mdc95,
    range_check,
)

EACH = pytest.mark.parametrize("quantity", [*QUANTITIES.values(), BODY_WEIGHT], ids=lambda q: q.key)
KEYS = (
    "toe_angle heel_angle pastern_angle toe_length heel_length_medial heel_length_lateral "
    "frog_width frog_length hoof_width hoof_length coronary_circumference palmar_angle sole_depth"
)


def test_all_thirteen_quantities_are_there_in_order():
    assert list(QUANTITIES) == KEYS.split()


@EACH
def test_the_plausible_range_lies_inside_the_possible_one(quantity):
    assert quantity.possible_low < quantity.plausible_low < quantity.plausible_high
    assert quantity.plausible_high < quantity.possible_high


@EACH
def test_every_fitting_method_has_an_error_above_zero(quantity):
    assert quantity.methods
    assert all(error_sd(quantity, method) > 0 for method in quantity.methods)


@EACH
def test_an_owner_never_measures_better_than_a_gauge_or_tape(quantity):
    errors = quantity.error_sd
    for practised in (Method.GAUGE, Method.TAPE):
        if Method.OWNER in errors and practised in errors:
            assert errors[Method.OWNER] >= errors[practised]


@EACH
def test_a_quantity_survives_copying_and_sending_to_another_process(quantity):
    assert copy.deepcopy(quantity) == pickle.loads(pickle.dumps(quantity)) == quantity
    assert hash(quantity) == hash(copy.deepcopy(quantity))


@pytest.mark.parametrize("key", ["toe_angle", "toe_length", "coronary_circumference"])
def test_published_population_means_are_plausible(key):
    # Toe angle 49.1 +/- 5.1 fore, 51.8 +/- 4.3 hind: Schade, Cienc Rural 2013;43:456-461. Toe
    # length 92.1 +/- 9.3 mm: Braz J Vet Med article 421. Coronet 389.8-392.1 mm: college study of
    # 32 horses.
    means = {"toe_angle": (44.0, 56.1), "toe_length": (82.8, 101.4)}
    for mean in means.get(key, (389.8, 392.1)):
        assert range_check(QUANTITIES[key], mean) is RangeCheck.FINE


def test_sole_depth_by_gauge_is_refused_with_the_methods_that_fit():
    with pytest.raises(MethodDoesNotFit, match="sole depth .* by hoof gauge.*: radiograph"):
        error_sd(QUANTITIES["sole_depth"], Method.GAUGE)


@pytest.mark.parametrize(
    ("value", "check"),
    [
        (19.9, RangeCheck.REFUSE),
        (20, RangeCheck.CONFIRM),
        (37.9, RangeCheck.CONFIRM),
        (38, RangeCheck.FINE),
        (68, RangeCheck.FINE),
        (68.1, RangeCheck.CONFIRM),
        (100, RangeCheck.CONFIRM),
        (100.1, RangeCheck.REFUSE),
        (math.nan, RangeCheck.REFUSE),
        (math.inf, RangeCheck.REFUSE),
        (-math.inf, RangeCheck.REFUSE),
    ],
)
def test_a_toe_angle_is_taken_questioned_or_refused_by_its_size(value, check):
    assert range_check(QUANTITIES["toe_angle"], value) is check


@pytest.mark.parametrize(
    ("sem", "expected"), [(0.5, 1.385929), (1.0, 2.771859), (1.5, 4.157788), (2.0, 5.543717)]
)
def test_the_detectable_change_is_the_published_multiple_of_the_error(sem, expected):
    # 1.96 * sqrt(2) * SEM: Weir, J Strength Cond Res 2005;19:231-240.
    assert mdc95(sem, sem) == pytest.approx(expected, abs=5e-7)


@pytest.mark.parametrize(
    ("sd", "icc", "expected"),
    [(3, 0.90, 2.629616), (3, 0.95, 1.859419), (2, 0.90, 1.753077)],
)
def test_the_detectable_change_follows_from_reliability_too(sd, icc, expected):
    # SEM = SD * sqrt(1 - ICC): Weir & Vincent, Statistics in Kinesiology.
    sem = sd * math.sqrt(1 - icc)
    assert mdc95(sem, sem) == pytest.approx(expected, abs=5e-7)


def test_repeat_readings_give_the_published_repeatability():
    # Bland & Altman, Lancet 1986;i:307-310, large meter, 17 subjects twice: within-subject SD 15.3,
    # and 1.96 * sqrt(2) of it 42.4 L/min.
    first = [494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427]
    second = [490, 397, 512, 401, 470, 611, 415, 431, 638, 429, 420, 633, 275, 492, 165, 372, 421]
    squares = [(a - b) ** 2 for a, b in zip(first, second, strict=True)]
    within_sd = math.sqrt(sum(squares) / (2 * len(squares)))
    assert within_sd == pytest.approx(15.306669, abs=5e-7)
    assert mdc95(within_sd, within_sd) == pytest.approx(42.427922, abs=5e-7)


def test_a_photo_and_a_gauge_need_a_larger_difference_than_two_gauges():
    assert mdc95(1.0, 1.5) == pytest.approx(1.96 * math.sqrt(3.25))
    assert mdc95(1.5, 1.0) == mdc95(1.0, 1.5) > mdc95(1.0, 1.0)


@pytest.mark.parametrize("sd", [-0.1, math.nan, math.inf])
def test_a_detectable_change_needs_real_errors(sd):
    with pytest.raises(HoofError, match="measuring error"):
        mdc95(1.0, sd)


@pytest.mark.parametrize("quantity", QUANTITIES.values(), ids=lambda q: q.key)
def test_the_direction_of_growth_agrees_with_the_growth_prior(quantity):
    growth = growth_prior(quantity, Shoeing.SHOD)
    if quantity.growth_direction:
        assert quantity.growth_direction * growth.mean_per_56_days > 0
    else:
        assert abs(growth.mean_per_56_days) <= growth.sd_per_56_days


def test_a_hind_foot_has_a_plantar_angle():
    palmar = QUANTITIES["palmar_angle"]
    assert palmar.label_on(Foot.LF) == "palmar angle"
    assert palmar.label_on(Foot.RH) == "plantar angle"
    assert QUANTITIES["toe_angle"].label_on(Foot.RH) == "toe angle"


def test_angles_know_that_they_are_angles():
    angles = [quantity.key for quantity in QUANTITIES.values() if quantity.is_angle]
    assert angles == ["toe_angle", "heel_angle", "pastern_angle", "palmar_angle"]


def test_every_choice_has_words_for_the_screen():
    assert [method.label for method in Method] == [
        "hoof gauge",
        "tape or caliper",
        "photo",
        "photo with card",
        "film, by points",
        "radiograph",
        "owner's own measuring",
    ]
    assert [state.label for state in TrimState] == [
        "before the trim",
        "after the trim",
        "between visits",
    ]
    assert [moment.label for moment in Moment] == [
        "just after the trim",
        "at the end of the cycle",
        "at any time",
    ]
    assert [state.label for state in Shoeing] == ["barefoot", "shod", "shod with wedge or pad"]


def test_a_band_for_the_end_of_the_cycle_is_read_against_before_trim_readings():
    assert Moment(TrimState.BEFORE.value) is Moment.END_OF_CYCLE
    assert Moment(TrimState.AFTER.value) is Moment.AFTER_TRIM


def test_an_owner_reads_a_toe_angle_half_as_badly_again_as_a_gauge_and_a_photo_twice():
    errors = QUANTITIES["toe_angle"].error_sd
    assert (errors[Method.GAUGE], errors[Method.OWNER], errors[Method.PHOTO]) == (1.0, 1.5, 2.0)


def test_only_what_nothing_but_a_radiograph_shows_is_filmed():
    filmed = {key for key, quantity in QUANTITIES.items() if quantity.is_filmed}
    assert filmed == {"palmar_angle", "sole_depth"}
