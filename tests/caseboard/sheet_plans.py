"""Generated plan sheets, from empty to far too much: what the fitting has to cope with."""

import random
from dataclasses import replace
from datetime import date, timedelta

from caseboard.sheets.plan_gather import PAPER_CHART
from caseboard.sheets.plan_value import (
    Sheet,
    SheetBand,
    SheetFoot,
    SheetItem,
    SheetMark,
    SheetPerson,
    SheetValue,
)
from measurements.charts.draw import Chart, Drawn, Span, TargetBand, draw
from measurements.charts.draw import Dot as ChartDot
from measurements.charts.side_view import SideDrawn, SideWords, draw_side
from measurements.hoof.outline import SideNumbers, aim_fan, laid_over, side_outline

WORDS = [
    "heel",
    "toe",
    "trim",
    "soft",
    "ground",
    "walk",
    "hand",
    "twice",
    "daily",
    "hoof",
    "wall",
    "sole",
    "frog",
    "shoe",
    "reset",
    "level",
    "slow",
    "straight",
    "Ärger",
    "über",
    "Łódź",
    "Đorđe",
    "ñandú",
    "œuf",
    "Ἵππος",
    "лошадь",
    "חיים",
    "الحصان",
    "سوس",
    "naïve",
    "façade",
]
LONG = "Anastasia-Wilhelmina von und zu Unterhaltungsgesellschaft the Extraordinarily Long Named"
NAMES = ("Juniper", "Ø", "Đorđe the Great", LONG, "الحصان الأسود", "סוס קטן", "O’Malley & Sons <b>")
SAYS = ("farrier", "owner", "vet")
QUANTITIES = (
    "toe_angle",
    "heel_angle",
    "toe_length",
    "pastern_angle",
    "frog_width",
    "hoof_width",
    "hoof_length",
    "sole_depth",
)
PAPER = PAPER_CHART.for_bands
SIDE_WORDS = "dashed: 2 Nov 2025. The toe stands 9 mm further out than a year before."
TODAY = date(2026, 11, 2)


def plan(seed: int) -> Sheet:
    """The sheet of one seed; the first are the extremes, the others lie between them."""
    pick = random.Random(seed)
    items = (0, 40, 40, 12, 1)[seed] if seed < 5 else pick.randint(0, 40)
    targets = (0, 8, 0, 4, 8)[seed] if seed < 5 else pick.randint(0, 8)
    longest = (0, 4000, 40, 300, 4000)[seed] if seed < 5 else pick.choice((30, 120, 600, 4000))
    measured = seed != 0 and pick.random() < 0.85
    team = [] if seed == 0 else [r for r in SAYS for _ in range(pick.choice((0, 1, 1, 2)))]
    people = tuple(SheetPerson(r, pick.choice(NAMES), f"0100 {n:06}") for n, r in enumerate(team))
    return Sheet(
        horse_name=pick.choice(NAMES),
        horse_words=text(pick, 60),
        identity="chip 900000000000001" if pick.random() < 0.5 else "",
        case_title=text(pick, pick.choice((10, 120))) or "Standing care",
        is_concern=pick.random() < 0.5,
        people=people,
        vacant=tuple(role for role in SAYS if role not in team),
        emergency_name=pick.choice(("", "Night Vets", LONG)),
        emergency_phone=pick.choice(("", "0100 999")),
        feet=_feet(pick, targets, measured),
        shoeing="front shoes",
        grade=text(pick, 80) if pick.random() < 0.5 else "",
        open_points=tuple(text(pick, 300) or "hot" for _ in range(pick.randint(0, 6))),
        items=tuple(_item(pick, number + 1, longest) for number in range(items)),
        closed_items=tuple(f"Item {n} done: {text(pick, 90)}" for n in range(pick.randint(0, 4))),
        next_visit=pick.choice(("", "Wednesday 2 Dec 2026")),
        signers=people or tuple(SheetPerson(role, "", "") for role in SAYS),
        made_on=TODAY,
        made_by=pick.choice(NAMES),
        case_code="a" * 16,
        numbers=(),
        since=pick.choice(("", "sheet 3 of 12 Sep 2026")),
        outcome="goal partly met" if seed % 11 == 7 else "",
        outcome_words=text(pick, 300) if seed % 11 == 7 else "",
        danger="Sits back when tied: hold, never tie." if seed % 5 == 2 else "",
        number=0 if seed % 3 == 0 else 4,
        code="" if seed % 3 == 0 else "abcdefghjk",
    )


def text(pick: random.Random, length: int) -> str:
    """Words of many scripts up to a length; now and then one word without a break."""
    if pick.random() < 0.08:
        return "x" * length
    words: list[str] = []
    while sum(len(word) + 1 for word in words) < length:
        words.append(pick.choice(WORDS))
    return " ".join(words)[:length].strip()


def _item(pick: random.Random, number: int, longest: int) -> SheetItem:
    states = [pick.choice(("agreed", "agreed", "waiting", "declined", "asked")) for _ in SAYS]
    return SheetItem(
        number=number,
        text=text(pick, pick.randint(5, max(longest, 10))) or "Walk.",
        who_does=pick.choice(SAYS),
        until=pick.choice(("", "2 Dec 2026")),
        reason=text(pick, pick.randint(0, longest // 2)),
        therapeutic=pick.random() < 0.3,
        essential=pick.random() < 0.5,
        marks=tuple(
            SheetMark(role, state, "" if state == "waiting" else pick.choice(NAMES), "2 Nov 2026")
            for role, state in zip(SAYS, states, strict=True)
        ),
        agreed=all(state == "agreed" for state in states),
    )


def _feet(pick: random.Random, targets: int, measured: bool) -> tuple[SheetFoot, ...]:
    wanted = [(pick.choice(("LF", "LF", "RF", "LH", "RH")), n) for n in range(targets)]
    labels = {"LF": "left fore", "RF": "right fore", "LH": "left hind", "RH": "right hind"}
    feet = []
    for foot, label in labels.items():
        aimed = {QUANTITIES[n] for at, n in wanted if at == foot}
        there = {"toe_angle", "heel_angle", "toe_length"} if measured else set()
        values = tuple(
            _value(foot, quantity, quantity in aimed, measured)
            for quantity in QUANTITIES
            if quantity in aimed | there
        )
        seen, said = (side(foot), SIDE_WORDS) if measured else (None, "")
        feet.append(SheetFoot(foot, label, "shod", bool(aimed), values, seen, said))
    return tuple(feet)


def _value(foot: str, quantity: str, aimed: bool, measured: bool) -> SheetValue:
    words = "1.2° under the vet’s 50 to 54°, after the trim, within the measuring error"
    unread = "the vet’s 50 to 54°, after the trim: not measured yet"
    band = SheetBand(words if measured else unread, outside=False)
    charted = measured and (aimed or quantity == "toe_angle")
    return SheetValue(
        quantity=quantity,
        label=quantity.replace("_", " "),
        value="51.5°" if measured else "",
        when="after trim, 2 Nov 2026",
        on=TODAY,
        bands=(band,) if aimed else (),
        trend="falling about 0.9° a visit (0.4 to 1.4°)" if charted else "",
        then="was 52° after trim: no change beyond the measuring error" if measured else "",
        chart=chart(f"{foot}-{quantity}") if charted else None,
    )


def chart(key: str, readings: int = 24) -> Drawn:
    """A chart as full as they get: a reading before and after each of a dozen trims."""
    days = [TODAY - timedelta(days=28 * n) for n in range(readings)]
    dots = tuple(
        ChartDot(day, 52 - n * 0.1, "before" if n % 2 else "after", n) for n, day in enumerate(days)
    )
    level = tuple(Span(day, 51, 50, 52) for day in reversed(days))
    return draw(
        Chart(
            key,
            "Toe angle over time",
            "Readings.",
            "degrees",
            6.0,
            dots,
            tuple(days),
            (TargetBand(50, 54, days[-1], "after"),),
            level,
        ),
        PAPER,
    )


def side(foot: str) -> SideDrawn:
    """A foot from the side with all that there is to draw: now, a year ago, aim, pastern, shoe."""
    now = side_outline(SideNumbers(49, 86, 44.5, None, None, 52, is_shod=True), pastern_mm=45)
    then = side_outline(SideNumbers(53, 80, 46))
    words = SideWords("49°", "86 mm", "44.5°", "The foot from the side", "To scale.")
    return draw_side(foot, now, laid_over(now, then), aim_fan(now, 48, 53), words, plain=True)


def busy(items: int) -> Sheet:
    """An ordinary full sheet: four charts, short plain items, everybody on the team."""
    whole = plan(3)
    people = tuple(SheetPerson(role, f"Some {role}", "0100 200 300") for role in SAYS)
    feet = tuple(
        SheetFoot(
            f.foot,
            f.label,
            "shod",
            False,
            (_value(f.foot, "toe_angle", True, True),),
            side(f.foot),
            SIDE_WORDS,
        )
        for f in whole.feet
    )
    marks = tuple(SheetMark(role, "agreed", f"Some {role}", "2 Nov 2026") for role in SAYS)
    made = tuple(
        SheetItem(n + 1, "Walk in hand daily.", SAYS[n % 3], "", "", False, False, marks, True)
        for n in range(items)
    )
    return replace(
        whole,
        people=people,
        vacant=(),
        signers=people,
        feet=feet,
        items=made,
        open_points=(),
        closed_items=(),
        grade="",
        case_title="Standing care",
        number=4,
        code="abcdefghjk",
    )


def fattest() -> Sheet:
    """Far more of everything than a page holds, in wide letters without a break."""
    wide = "W" * 4000
    people = tuple(SheetPerson(role, wide[:120], "0" * 40) for role in SAYS * 4)
    bands = (SheetBand(f"9.9° under {wide}", outside=True),) * 3
    values = tuple(
        replace(
            _value("LF", quantity, True, True),
            label=wide[:60],
            when=wide[:60],
            bands=bands,
            trend=wide[:200],
            then=wide[:200],
            changed=True,
        )
        for quantity in QUANTITIES
    )
    feet = tuple(
        SheetFoot(foot, wide[:30], wide[:90], True, values) for foot in ("LF", "RF", "LH", "RH")
    )
    marks = tuple(SheetMark(role, "asked", wide[:120], "22 Nov 2026") for role in SAYS)
    items = tuple(
        SheetItem(n + 1, wide, SAYS[n % 3], "22 Dec 2026", wide, True, True, marks, n % 2 == 1)
        for n in range(200)
    )
    return replace(
        plan(1),
        horse_name=wide[:80],
        horse_words=wide[:300],
        identity=wide[:60],
        case_title=wide[:120],
        is_concern=True,
        people=people,
        signers=people,
        vacant=(),
        emergency_name=wide[:120],
        emergency_phone="0" * 40,
        feet=feet,
        shoeing=wide[:200],
        grade=wide[:300],
        open_points=(wide,) * 20,
        items=items,
        closed_items=(wide,) * 20,
        next_visit="Wednesday 22 Sep 2026",
        since="sheet 999 of 22 Sep 2026",
        made_by=wide[:120],
        outcome="goal partly met",
        outcome_words=wide,
        outcome_numbers=wide[:200],
        danger=wide[:300],
        number=999,
        code="wwwwwwwwww",
    )
