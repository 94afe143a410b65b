"""Ready for a show: what the board can tell of pairs, trims and what is overdue. It passes nobody."""

from dataclasses import dataclass, replace
from datetime import date, timedelta

from caseboard.lib.spans import counted, days_words, one_or
from caseboard.lib.words import own_sides
from horses.access import Standing
from horses.models import Alert
from horses.queries import alerts_for, last_trimmed_on, next_visit, open_flags_for, plan_for
from horses.queries_shoes import last_trims, shoes_now
from horses.shoe_state import FEET, Shoes
from horses.wording import day_words, foot_words, listed

# A freshly trimmed foot may be short-striding for some days. Common practice, no source.
SETTLING = timedelta(days=3)
CLOSE = (
    " That is close: some horses go short for a few days after a trim (common practice, no source)."
)
DONE, LOOK, ASK = "done", "look", "ask"


@dataclass(frozen=True)
class Check:
    """One line of the list: done, to be looked at, or to be asked elsewhere."""

    state: str
    title: str
    words: str


def show_check(standing: Standing, *, on: date, today: date) -> list[Check]:
    """What stands in the way of a neat foot on the day of the show, as far as it is written down."""
    shoes = shoes_now(standing.horse)
    found = [_pairs(shoes), *_trim(standing, shoes, on, today), *_open(standing, today), _rules()]
    return [replace(check, words=own_sides(check.words, standing.person)) for check in found]


def _pairs(shoes: Shoes) -> Check:
    title = "Pairs complete"
    if not shoes.is_known:
        unknown = listed(foot_words(f) for f in FEET if f not in shoes.feet)
        return Check(LOOK, title, f"Not written down how the {unknown} is shod.")
    if shoes.lost:
        lost = listed(foot_words(s.foot) for s in shoes.lost)
        return Check(LOOK, title, f"A shoe is lost: {lost}.")
    if shoes.missing:
        return Check(LOOK, title, f"There are {shoes.name}: a pair is not complete.")
    return Check(DONE, title, f"{shoes.words[0].upper()}{shoes.words[1:]}.")


def _trim(standing: Standing, shoes: Shoes, on: date, today: date) -> list[Check]:
    title = "Trimmed neat"
    trims = last_trims(standing.horse)
    planned = next_visit(standing.horse)
    before = planned.planned_on if planned else None
    if before is not None and today <= before <= on:
        days = (on - before).days
        fresh = CLOSE if on - before < SETTLING else ""
        return [Check(LOOK if fresh else DONE, title,
                      f"The next visit is on {day_words(before)}, {_days(days)} before the show.{fresh}")]  # fmt: skip
    if not trims:
        return [Check(LOOK, title, "No trim is written down.")]
    oldest = min(trims.values())
    days = (on - oldest).days
    feet = [foot_words(f) for f in FEET if trims.get(f) == oldest]
    which = "all four" if len(feet) == len(FEET) else f"the {listed(feet)}"
    late = days > standing.horse.interval_days
    told = f"On the day it will be {_days(days)} since the trim of {which} ({day_words(oldest)})"
    interval = f"{standing.horse.name}'s interval is {days_words(standing.horse.interval_days)}"
    missing = [foot_words(f) for f in FEET if f not in trims]
    more = f" No trim is written down for the {listed(missing)}." if missing else ""
    end = f"; {interval}, and no visit is planned before." if late else f"; {interval}."
    return [Check(LOOK if late or missing else DONE, title, f"{told}{end}{more}")]


def _open(standing: Standing, today: date) -> list[Check]:
    """What is overdue or waits for somebody, on this board."""
    found = []
    planned = next_visit(standing.horse)
    if planned and planned.planned_on and planned.planned_on < today:
        found.append(f"The visit planned for {day_words(planned.planned_on)} is not written up.")
    last = last_trimmed_on(standing.horse)
    if not planned and last and (today - last).days > standing.horse.interval_days:
        found.append(f"The last trim was {_days((today - last).days)} ago.")
    for line in plan_for(standing, open_only=True):
        until = line.version.until_on
        if until and until < today:
            found.append(f"Plan item {line.item.number} was to be done by {day_words(until)}.")
    overdue = Check(LOOK if found else DONE, "Nothing overdue",
                    " ".join(found) or "Nothing written down is overdue.")  # fmt: skip
    flags = open_flags_for(standing)
    alerts = [a for a in alerts_for(standing) if a.weight == Alert.Weight.ALERT]
    waits = [counted(len(flags), "open flag")] if flags else []
    waits += [counted(len(alerts), "alert")] if alerts else []
    there = one_or(len(flags) + len(alerts), "is", "are")
    said = f"There {there} {listed(waits)} on the board: talk before you enter."
    if not waits:
        said = "No open flag and no alert. Numbers do not see pain: watch it trot."
    return [overdue, Check(LOOK if waits else DONE, "Flags and alerts", said)]


def _rules() -> Check:
    return Check(
        ASK, "The rule book",
        "Show and breed rules limit the weight of shoes, pads, studs and toe length: look in this "
        "year's book. Painkillers have their own rules: ask your vet.",
    )  # fmt: skip


def _days(count: int) -> str:
    return "the same day" if count == 0 else days_words(count)
