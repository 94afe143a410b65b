"""How urgent the signs are, alone and together. Pure: no database."""

from itertools import combinations

import pytest
from django.test import Client

from horses.domain.signs import ADVICE, NEVER, SIGN, SIGNS, TOGETHER_NOW, advice, urgency
from horses.domain.urgent_signs import LEAVE_IT, STONE, URGENT_SIGNS, UrgentSign
from horses.forms.flag import together_now
from tests.caseboard.walk import words_of

URGENT = [sign.key for sign in SIGNS if sign.rank == "now"]


@pytest.mark.parametrize("sign", URGENT)
def test_one_urgent_sign_is_enough(sign: str) -> None:
    assert urgency([sign]) == "now"
    assert urgency([sign, "short_stride", "other"]) == "now"


def test_the_urgent_signs_are_the_known_ones() -> None:
    assert set(URGENT) == {
        "no_weight",
        "in_sole",
        "rocked_back",
        "hot_pounding",
        "coronet_wound",
        "leg_fever",
        "lame_after_shoeing",
        "foal_leg",
    }


@pytest.mark.parametrize(
    ("sign", "rank"),
    [
        ("heat", "today"),
        ("pulse", "today"),
        ("lost_shoe", "today"),
        ("lame", "today"),
        ("short_stride", "next_visit"),
        ("crack", "next_visit"),
        ("other", "next_visit"),
    ],
)
def test_a_sign_alone_has_its_own_rank(sign: str, rank: str) -> None:
    assert urgency([sign]) == rank


@pytest.mark.parametrize(
    "signs",
    [
        ("heat", "pulse", "reluctant_turn"),
        ("heat", "pulse", "pointing"),
        ("heat", "pulse", "lame"),
        ("pulse", "reluctant_turn", "short_stride"),
        ("pulse", "reluctant_turn", "sore_stones"),
    ],
)
def test_some_signs_are_urgent_together(signs: tuple[str, ...]) -> None:
    assert urgency(signs) == "now"
    for fewer in combinations(signs, len(signs) - 1):
        assert urgency(fewer) != "now"


def test_mild_signs_together_can_be_for_today() -> None:
    assert urgency(["short_stride", "toe_first", "stumbling"]) == "today"
    assert urgency(["short_stride", "toe_first"]) == "next_visit"


def test_the_order_and_repeats_do_not_matter() -> None:
    assert urgency(["lame", "heat", "heat", "pulse"]) == urgency(["pulse", "lame", "heat"]) == "now"


def test_more_signs_never_make_it_less_urgent() -> None:
    ranks = ["now", "today", "next_visit"]
    keys = list(SIGN)
    for first, second in combinations(keys, 2):
        alone = min(ranks.index(urgency([first])), ranks.index(urgency([second])))
        assert ranks.index(urgency([first, second])) <= alone


def test_no_sign_at_all_can_wait() -> None:
    assert urgency([]) == "next_visit"


def test_a_sign_that_nobody_ranked_is_not_taken_for_a_mild_one() -> None:
    with pytest.raises(KeyError):
        urgency(["heat", "glowing"])


def test_a_nail_in_the_sole_is_left_and_a_stone_is_taken_out() -> None:
    assert advice(["in_sole"])[0] == LEAVE_IT
    assert STONE in advice(["in_sole"])
    assert "stone" not in SIGN["in_sole"].words.casefold()


@pytest.mark.parametrize("sign", URGENT_SIGNS, ids=lambda sign: sign.key)
def test_the_urgent_page_says_what_a_flag_with_that_sign_says(sign: UrgentSign) -> None:
    page = words_of(Client().get("/urgent/").content.decode())
    assert sign.words in page
    for line in sign.advice:
        assert line in page


def test_the_door_says_leave_the_nail_and_take_out_the_stone() -> None:
    (door,) = [sign.door for sign in URGENT_SIGNS if sign.key == "in_sole"]
    assert "leave it in" in door
    assert "a stone is taken out and the foot looked at" in door


def test_the_advice_always_ends_with_what_never_to_do() -> None:
    for sign in SIGN:
        assert advice([sign])[-len(NEVER) :] == list(NEVER)


def test_advice_is_given_once_though_two_signs_ask_for_it() -> None:
    lines = advice(["no_weight", "hot_pounding"])
    assert len(lines) == len(set(lines))
    assert lines.count("Do not make the horse walk.") == 1


def test_every_urgent_sign_has_advice_of_its_own() -> None:
    assert set(ADVICE) == set(URGENT)


def test_the_pages_script_is_told_the_same_combinations() -> None:
    told = [
        tuple(frozenset(group.split(" ")) for group in pattern.split("+"))
        for pattern in together_now().split(";")
    ]
    assert told == list(TOGETHER_NOW)
