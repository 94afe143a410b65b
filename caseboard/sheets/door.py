"""The door sheet: what to know, do or watch today, read from a metre away.

It is drawn from the board as it stands and never kept. It hangs on, so it speaks in dates, says until
when it holds, and prints nothing as a thing to do that the team has not agreed on.
"""

from dataclasses import dataclass, replace
from datetime import date, timedelta

from django.template.loader import render_to_string

from caseboard.board import Board, board_for
from caseboard.case_reading import CaseReading
from caseboard.case_words import feet_needing, feet_of, team_label
from caseboard.glance.asks import ASKS, Ask, Soon, ask_of, rank_of
from caseboard.glance.headline import headline, move_words
from caseboard.glance.rows import rung_in_order
from caseboard.lib.diagram import DiagramFoot, diagram_feet
from caseboard.lib.pdf.fit import Fitted, html_to_pdf_fitting
from caseboard.lib.pdf.parent import Paper
from caseboard.lib.words import foot_label, own_words, plan_text
from caseboard.sheets.plan_fit import cut
from caseboard.sheets.plan_points import is_trouble
from caseboard.sheets.warning_cut import warning_cut
from horses.domain.lost_shoe_advice import TILL_THEN
from horses.domain.urgent_signs import URGENT_SIGNS
from horses.domain.wording import day_words, sentence_case
from horses.models import Alert, Flag, Person, PlanItem, PlanItemVersion, Role
from measurements.charts.side_view import SideDrawn
from measurements.panels.side_view import side_story
from measurements.series.foot_side import foot_side

MOST_POINTS = 3
# Paper is believed for as long as it hangs: no longer than this, nor past the next visit. House default.
HOLDS_FOR = timedelta(days=28)
# Letters a point may have, the fullest draft first. House defaults: what 21 and 18 pt hold.
# The third says how many points, the last how long a name.
LETTERS = (
    (110, 150, 3, 60),
    (90, 100, 3, 40),
    (70, 60, 3, 24),
    (50, 0, 3, 18),
    (50, 0, 2, 14),
    (40, 0, 1, 11),
)


@dataclass(frozen=True)
class DoorPoint:
    """One thing to do or to watch: in large words, and why or when below."""

    words: str
    below: str
    side: SideDrawn | None = None


@dataclass(frozen=True)
class DoorSheet:
    horse_name: str
    horse_words: str
    headline: str
    feet: tuple[DiagramFoot, ...]
    points: tuple[DoorPoint, ...]
    more: int  # matters that have no place here
    ring_name: str
    ring_role: str
    ring_phone: str
    visit_on: str
    visit_who: str
    vet_name: str
    vet_phone: str
    urgent: tuple[str, ...]
    made_on: date
    holds_until: date
    roomy: bool = False  # larger type, where there is little to say

    def shorter(self, head: int, below: int, most: int, name: int) -> "DoorSheet":
        """The same with its words cut: a warning keeps its negative, a phone number all of itself."""
        points = tuple(
            replace(p, words=warning_cut(p.words, head), below=cut(p.below, below) if below else "")
            for p in self.points[:most]
        )
        return replace(
            self,
            points=points,
            more=self.more + len(self.points[most:]),
            horse_name=cut(self.horse_name, name),
            horse_words=cut(self.horse_words, name),
            headline=cut(self.headline, head),
            ring_name=cut(self.ring_name, name),
            visit_who=cut(self.visit_who, name),
            vet_name=cut(self.vet_name, name),
        )


def door_for(reading: CaseReading) -> DoorSheet:
    """What hangs on the stable door, for the whole team's eyes."""
    board = board_for(reading, seen_seq=0)
    horse, person = reading.horse, reading.person
    alerts = _troubles(reading)
    flags = reading.open_flags
    marked = feet_needing(flags, alerts)
    points = _points(reading, alerts, flags)
    visit = board.visit_ahead
    on = visit.planned_on if visit else None
    ring = _ring(board, alerts)
    return DoorSheet(
        horse_name=horse.name,
        horse_words=board.short_words,
        headline=_headline(alerts, person),
        feet=tuple(diagram_feet(marked)),
        points=tuple(points[:MOST_POINTS]),
        more=max(0, len(points) - MOST_POINTS),
        ring_name=ring[0],
        ring_role=ring[1],
        ring_phone=ring[2],
        visit_on=f"{on:%a %-d %b %Y}" if on else _no_day(board),
        visit_who=str(visit.planned_for) if visit and visit.planned_for else "",
        vet_name=horse.emergency_vet_name,
        vet_phone=horse.emergency_vet_phone,
        urgent=tuple(sign.far for sign in URGENT_SIGNS if sign.far),
        made_on=reading.today,
        holds_until=min(on or date.max, reading.today + HOLDS_FOR),
    )


def door_pdf(reading: CaseReading, *, paper: Paper) -> bytes:
    """One page. Where it would not fit, words are cut; the board has them all."""
    return fitted_door(door_for(reading), paper=paper).pdf


def door_drafts(sheet: DoorSheet) -> list[DoorSheet]:
    """The largest type first; then as it is, then with its words cut."""
    return [replace(sheet, roomy=True), sheet, *(sheet.shorter(*letters) for letters in LETTERS)]


def fitted_door(sheet: DoorSheet, *, paper: Paper) -> Fitted:
    drafts = door_drafts(sheet)

    def html_of(draft: int) -> str:
        return render_to_string("caseboard/door_print.html", {"sheet": drafts[draft]})

    unknown = [0.0] * len(drafts)  # few drafts: tried one after the other
    return html_to_pdf_fitting(html_of, unknown, room=0.0, paper=paper)


def _no_day(board: Board) -> str:
    return "Overdue, no day planned" if board.due.is_overdue else "No day planned"


# -- what stands on it


def _troubles(reading: CaseReading) -> list[Alert]:
    """The alerts about the horse that stand for somebody of the team, the worst first."""
    found = [a for a in reading.team_alerts if is_trouble(a) and a.weight == Alert.Weight.ALERT]
    return sorted(found, key=lambda a: (not a.danger, rank_of(a.rule)))


def _points(reading: CaseReading, alerts: list[Alert], flags: list[Flag]) -> list[DoorPoint]:
    """How to handle the horse, what may not wait, what was agreed for home, then the rest."""
    horse, person = reading.horse, reading.person
    handling = [DoorPoint(horse.danger, horse.handling)] if horse.danger else []
    now = [_flag_point(flag, person) for flag in flags if flag.is_urgent]
    dangers = [_alert_point(reading, alert) for alert in alerts if alert.danger]
    today = [_flag_point(flag, person) for flag in flags if flag.is_for_today]
    others = [_alert_point(reading, alert) for alert in alerts if not alert.danger]
    later = [_flag_point(f, person) for f in flags if not f.is_urgent and not f.is_for_today]
    return [*now, *handling, *dangers, *today, *_at_home(reading), *others, *later]


def _at_home(reading: CaseReading) -> list[DoorPoint]:
    """What the owner does each day; only what all have agreed to is printed as a thing to do."""
    return [
        DoorPoint(_in_its_days(line.version, reading), f"Plan item {line.item.number}, agreed.")
        for line in reading.open_plan
        if line.state.is_agreed
        and line.version.who_does == Role.OWNER
        and line.item.kind != PlanItem.Kind.RECHECK
        and not (line.version.until_on and line.version.until_on < reading.today)
    ]


def _in_its_days(version: PlanItemVersion, reading: CaseReading) -> str:
    """Its days first, so that no cut takes them away: what has an end would be done for as long as
    the paper hangs."""
    ahead = version.from_on if version.from_on and version.from_on > reading.today else None
    days = [f"from {day_words(ahead)}"] if ahead else []
    days += [f"until {day_words(version.until_on)}"] if version.until_on else []
    text = plan_text(version, reading.person)
    return f"{sentence_case(' '.join(days))}: {text}" if days else text


def _flag_point(flag: Flag, person: Person) -> DoorPoint:
    feet = ", ".join(foot_label(foot, person) for foot in flag.feet)
    signs = ", ".join(flag.sign_words)
    words = f"{sentence_case(feet)}: {signs.lower()}" if feet else signs
    return DoorPoint(words, _flag_below(flag))


def _flag_below(flag: Flag) -> str:
    if flag.is_urgent:
        return "Call your vet now."
    if flag.says_shoe_lost:
        return TILL_THEN[0].words
    return "Worse, or lame: ring the vet."


def _alert_point(reading: CaseReading, alert: Alert) -> DoorPoint:
    words = own_words(_without_numbers(alert), reading.person)
    ask = ask_of(alert)
    side = _side(reading, alert) if alert.rule in ("foot.drift", "shape.broken_back_axis") else None
    before = f"{ask.when}: {ask.step}" if ask.when.startswith("Before") else sentence_case(ask.step)
    return DoorPoint(words, f"{before}{_by(reading, ask)}.", side)


def _by(reading: CaseReading, ask: Ask) -> str:
    """By which date; a paper that hangs on says no "today"."""
    visit = reading.next_visit
    if ask.soon is Soon.TODAY or visit is None or visit.planned_on is None:
        return ""
    return f" by {visit.planned_on:%-d %b %Y}" if visit.planned_on >= reading.today else ""


def _without_numbers(alert: Alert) -> str:
    """No rate on a door: "Left fore: the toe is creeping forward"."""
    words, moves = headline(alert), move_words(alert)
    return f"{words.split(':')[0]}: {moves}" if moves else words


def _side(reading: CaseReading, alert: Alert) -> SideDrawn | None:
    feet = feet_of(alert)
    story = side_story(reading.numbers, feet[0]) if feet else None
    found = foot_side(story, reading.person.length_unit) if story else None
    return found.drawn if found and found.drawn.hoof else None


def _headline(alerts: list[Alert], person: Person) -> str:
    """The one thing about the feet that comes first, in few words."""
    for alert in alerts:
        feet, word = feet_of(alert), ask_of(alert).foot_word
        if feet and word and alert.rule in ASKS:
            return f"{sentence_case(foot_label(feet[0], person))}: {word}"
    return ""


def _ring(board: Board, alerts: list[Alert]) -> tuple[str, str, str]:
    """Whom to ring of what is not urgent: who is asked of the first matter, else the farrier."""
    asked = ask_of(alerts[0]).ring if alerts else ""
    for role in (asked or Role.FARRIER, Role.FARRIER, Role.VET):
        for member in rung_in_order(board, role):
            if member.person.phone:
                return str(member.person), team_label(member), member.person.phone
    return "", "", ""
