"""Ready for a show: what the board can tell of pairs, trims and what is overdue. It passes nobody."""

from dataclasses import dataclass, replace
from datetime import date, timedelta

from caseboard.lib.spans import counted, days_words, one_or
from caseboard.lib.words import days_ago, own_sides
from horses.access import CaseAccess
from horses.domain.shoe_state import FEET, Shoes
from horses.domain.wording import day_words, foot_words, listed
from horses.models import Alert, Flag, Soundness
from horses.queries.board import (
    alerts_for,
    last_trimmed_on,
    next_visit,
    open_flags_for,
    soundness_for,
)
from horses.queries.lately import lately_over
from horses.queries.plan_lines import plan_for
from horses.queries.shoes import last_trims, shoes_now

# A freshly trimmed foot may be short-striding for some days. Common practice, no source.
SETTLING = timedelta(days=3)
CLOSE = (
    " That is close: some horses go short for a few days after a trim (common practice, no source)."
)
# What was flagged or raised within so long is said, and a grade older than that is an old one. House
# default: about a trimming cycle.
LATELY = timedelta(weeks=8)
DONE, LOOK, ASK = "done", "look", "ask"


@dataclass(frozen=True)
class Check:
    """One line of the list: done, to be looked at, or to be asked elsewhere."""

    state: str
    title: str
    words: str

    @property
    def asks_to_look(self) -> bool:
        return self.state == LOOK

    @property
    def label(self) -> str:
        return {DONE: "as it should be", LOOK: "look at this"}.get(self.state, "ask")


def show_check(access: CaseAccess, *, on: date, today: date) -> list[Check]:
    """What stands in the way of a neat foot on the day of the show, as far as it is written down."""
    shoes = shoes_now(access.horse)
    found = [_flags_and_alerts(access, today), *_rest(access, shoes, on, today)]
    ours = [replace(check, words=own_sides(check.words, access.person)) for check in found]
    return [_lameness(access, today), *ours]  # its words are partly typed: they stay


def _rest(access: CaseAccess, shoes: Shoes, on: date, today: date) -> list[Check]:
    trim = _trim(access, shoes, on, today)
    return [_pairs(shoes), *trim, _overdue(access, today), _rules()]


def _lameness(access: CaseAccess, today: date) -> Check:
    """The newest day's grades of each scale, none converted: any over nought is asked about."""
    title = "Lameness"
    rows = list(soundness_for(access))  # newest first
    if not rows:
        return Check(LOOK, title, "No lameness grade is written down. See it trot on hard ground.")
    newest: dict[str, list[Soundness]] = {}
    for row in rows:
        of_scale = newest.setdefault(row.scale, [])
        if not of_scale or of_scale[0].seen_on == row.seen_on:
            of_scale.append(row)
    latest = max(row.seen_on for row in rows)
    lame = [
        max(of_scale, key=lambda row: row.grade)
        for of_scale in newest.values()
        if any(row.grade for row in of_scale)
        # Nought is the same on both scales: a later sound day ends what the other scale said.
        and not (of_scale[0].seen_on < latest and _all_sound(rows, latest))
    ]
    if lame:
        words = " ".join(_grade_words(row, today) for row in lame)
        return Check(LOOK, title, f"{words} Ask your vet before you enter.")
    words = _grade_words(max(rows, key=lambda row: row.seen_on), today)
    if today - latest > LATELY:
        return Check(LOOK, title, f"{words} That is long ago: see it trot on hard ground.")
    return Check(DONE, title, f"{words} See it trot on the day all the same.")


def _all_sound(rows: list[Soundness], on: date) -> bool:
    return all(row.grade == 0 for row in rows if row.seen_on == on)


def _grade_words(row: Soundness, today: date) -> str:
    where = f", {row.surface}" if row.surface else ""
    after = f", last painkiller {row.painkiller}" if row.painkiller else ""
    on = f"{day_words(row.seen_on)} ({days_ago(row.seen_on, today)})"
    return f"Grade {row.grade}, scale {row.get_scale_display()}, on {on}{where}{after}."


def _flags_and_alerts(access: CaseAccess, today: date) -> Check:
    """What is open, the dangers by name; and what was flagged or raised in the last weeks."""
    title = "Flags and alerts"
    flags = open_flags_for(access)
    alerts = [a for a in alerts_for(access) if a.weight == Alert.Weight.ALERT]
    waits = [counted(len(flags), "open flag")] if flags else []
    waits += [counted(len(alerts), "alert")] if alerts else []
    said = [f"{flag_words(flag)}: phone your vet now." for flag in flags if flag.urgency == "now"]
    said += [f"{alert.title}." for alert in alerts if alert.danger]
    if waits:
        there = one_or(len(flags) + len(alerts), "is", "are")
        said.append(f"There {there} {listed(waits)} on the board: talk before you enter.")
    over = lately_over(access, today - LATELY, {f.pk for f in flags}, {a.pk for a in alerts})
    if over:
        said.append(f"Of the last weeks, closed by now: {listed(over)}.")
    if not said:
        words = "No open flag and no alert. Numbers do not see pain: watch it trot."
        return Check(DONE, title, words)
    return Check(LOOK, title, " ".join(said))


def flag_words(flag: Flag) -> str:
    feet = f" ({listed(foot_words(foot) for foot in flag.feet)})" if flag.feet else ""
    signs = listed(flag.sign_words)
    return f"{signs[:1].upper()}{signs[1:]}{feet}"


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


def _trim(access: CaseAccess, shoes: Shoes, on: date, today: date) -> list[Check]:
    title = "Trimmed neat"
    trims = last_trims(access.horse)
    planned = next_visit(access.horse)
    before = planned.planned_on if planned else None
    if before is not None and today <= before <= on:
        days = (on - before).days
        fresh = CLOSE if on - before < SETTLING else ""
        return [
            Check(
                LOOK if fresh else DONE,
                title,
                f"The next visit is on {day_words(before)}, {_days(days)} before the show.{fresh}",
            )
        ]
    if not trims:
        return [Check(LOOK, title, "No trim is written down.")]
    oldest = min(trims.values())
    days = (on - oldest).days
    feet = [foot_words(f) for f in FEET if trims.get(f) == oldest]
    which = "all four" if len(feet) == len(FEET) else f"the {listed(feet)}"
    late = days > access.horse.interval_days
    told = f"On the day it will be {_days(days)} since the trim of {which} ({day_words(oldest)})"
    interval = f"{access.horse.name}'s interval is {days_words(access.horse.interval_days)}"
    missing = [foot_words(f) for f in FEET if f not in trims]
    more = f" No trim is written down for the {listed(missing)}." if missing else ""
    end = f"; {interval}, and no visit is planned before." if late else f"; {interval}."
    return [Check(LOOK if late or missing else DONE, title, f"{told}{end}{more}")]


def _overdue(access: CaseAccess, today: date) -> Check:
    """What is overdue on this board."""
    found = []
    planned = next_visit(access.horse)
    if planned and planned.planned_on and planned.planned_on < today:
        day = day_words(planned.planned_on)
        found.append(f"Nobody has said yet whether the visit planned for {day} took place.")
    last = last_trimmed_on(access.horse)
    if not planned and last and (today - last).days > access.horse.interval_days:
        found.append(f"The last trim was {_days((today - last).days)} ago.")
    for line in plan_for(access, open_only=True):
        until = line.version.until_on
        if until and until < today:
            found.append(f"Plan item {line.item.number} was to be done by {day_words(until)}.")
    return Check(
        LOOK if found else DONE,
        "Nothing overdue",
        " ".join(found) or "Nothing written down is overdue.",
    )


def _rules() -> Check:
    return Check(
        ASK,
        "The rule book",
        "Show and breed rules limit the weight of shoes, pads, studs and toe length: look in this "
        "year's book. Painkillers have their own rules: ask your vet.",
    )


def _days(count: int) -> str:
    return "the same day" if count == 0 else days_words(count)
