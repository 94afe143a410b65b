"""The rows of the first screen: each thing that needs this person as one line and one tap."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from django.urls import reverse

from caseboard.board import Board, PlanCard
from caseboard.case_words import feet_of, team_label
from caseboard.glance.asks import Ask, Soon, ask_of, rank_of
from caseboard.glance.headline import aside, headline
from caseboard.glance.row import Button, Row
from caseboard.glance.told import told_rows
from caseboard.lib.phone import dialled
from caseboard.lib.words import plan_text
from caseboard.sheets.plan_kept import cut
from horses.domain.shoe_state import FEET, FRONTS, HINDS
from horses.domain.signs import advice
from horses.domain.wording import foot_words, listed, sentence_case
from horses.models import Flag, Membership, PlanItem, Role
from horses.queries.alerts import Matter

# A foot's state by a sign: the flag itself says it in full. Short forms, house default.
SIGN_WORDS = {
    "no_weight": "bears no weight",
    "in_sole": "something in it",
    "rocked_back": "will not move",
    "hot_pounding": "hot, pounding",
    "coronet_wound": "wound",
    "leg_fever": "swollen leg",
    "lame_after_shoeing": "lame since shod",
    "foal_leg": "leg bends",
    "heat": "warm",
    "pulse": "strong pulse",
    "pointing": "rests it",
    "reluctant_turn": "will not turn",
    "lame": "lame",
    "lost_shoe": "shoe lost",
    "short_stride": "short stride",
    "stumbling": "stumbles",
    "toe_first": "lands toe first",
    "sore_stones": "sore on stones",
    "crack": "crack",
    "shape": "looks different",
    "other": "flagged",
}
# Of these the farrier is asked first; of the others the vet. House default.
FARRIERS_SIGNS = frozenset({"lost_shoe", "crack", "shape", "toe_first", "stumbling"})
ITEM_LETTERS = 60  # of an item beside its number; the rest is one tap away. House default.
MOST_ITEM_ROWS = 2  # plan items that wait; more of them share one row. House default.
MOST_UNITS = 8  # so many single rows fit a phone of 390 by 844 above the four feet
FEW_UNITS = 2  # so many rows have room to be large


@dataclass(frozen=True)
class Rows:
    """What is shown, and how many more there are with the worst of them."""

    shown: tuple[Row, ...]
    more: int
    worst: str

    @property
    def density(self) -> str:
        units = sum(row.units for row in self.shown) + bool(self.more)
        if units <= FEW_UNITS:
            return "few"
        if units == FEW_UNITS + 1:
            return "some"
        return "many" if units < MOST_UNITS - 1 else "many full"


def rows_of(board: Board) -> list[Row]:
    """Every row of this person, what is most urgent first."""
    found = [
        *(_flag_row(board, flag) for flag in board.flags),
        *(
            _matter_row(board, matter)
            for matter in board.matters
            if not _asks_me_alone(board, matter)
        ),
        *_word_rows(board),
        *told_rows(board),
    ]
    order = list(Soon)
    return sorted(
        found,
        key=lambda row: (order.index(row.soon), not row.is_danger, row.rank, -row.severity),
    )


def fitted(rows: list[Row]) -> Rows:
    """As many rows as fit, dangers before the others; the last line says what is left out."""
    if sum(row.units for row in rows) <= MOST_UNITS:
        return Rows(tuple(rows), 0, "")
    shown: list[Row] = []
    left = MOST_UNITS - 1
    for row in rows:
        if row.units > left:
            break
        shown.append(row)
        left -= row.units
    rest = rows[len(shown) :]
    return Rows(tuple(shown), len(rest), rest[0].headline)


# -- one row each


def _flag_row(board: Board, flag: Flag) -> Row:
    href = reverse("flag", args=[board.case.public_id, flag.public_id])
    words = _flag_words(flag)
    ask = _flag_ask(flag)
    row = Row(
        feet=tuple(flag.feet),
        headline=words,
        soon=ask.soon,
        when=_when(board, ask),
        step=ask.step,
        button=_page("Answer", href, words),
        href=href,
        foot_word=SIGN_WORDS.get(_worst_sign(flag), "flagged"),
        is_danger=flag.is_urgent,
    )
    if flag.is_urgent:
        return replace(row, till_then=_till_then(flag), button=_vet_button(board, href))
    if ask.ring == board.access.role and board.access.role != flag.raised_role:
        return row
    return replace(row, button=_ring(board, ask, href, words))


def _flag_ask(flag: Flag) -> Ask:
    """An urgent one is the vet's, whatever is wrong."""
    if flag.is_urgent:
        return Ask(Role.VET, Soon.NOW, "", "")
    return Ask(
        Role.FARRIER if FARRIERS_SIGNS & set(flag.signs) else Role.VET,
        Soon.TODAY if flag.is_for_today else Soon.NEXT,
        f"{_flag_step(flag)} ({flag.raised_by}, {flag.raised_at:%-d %b})",
        "answer it",
    )


def _flag_step(flag: Flag) -> str:
    if flag.says_shoe_lost:
        return "ask when it goes back on"
    return "ask; worse: ring at once" if flag.is_for_today else "have it looked at"


def _flag_words(flag: Flag) -> str:
    signs = ", ".join(flag.sign_words).lower()
    return f"{_feet_words(flag.feet)}: {signs}" if flag.feet else sentence_case(signs)


def _matter_row(board: Board, matter: Matter) -> Row:
    alert, ask = matter.lead, ask_of(matter.lead)
    href = reverse("alert", args=[board.case.public_id, alert.public_id])
    words = headline(alert)
    ask = _of_its_own(board, matter, ask)
    mine = ask.ring == board.access.role
    return Row(
        feet=feet_of(alert),
        headline=words,
        soon=ask.soon,
        when=_when(board, ask),
        step=ask.own_step if mine else ask.step,
        button=_page("Read", href, words) if mine else _ring(board, ask, href, words),
        href=href,
        foot_word=ask.foot_word,
        is_danger=alert.danger,
        rank=rank_of(alert.rule),
        severity=alert.severity or 0.0,
        aside=aside(alert),
    )


def _asks_me_alone(board: Board, matter: Matter) -> bool:
    """The plan waits for this person: the items say so themselves."""
    return matter.lead.rule == "plan.unconfirmed" and _silent(matter) == [board.access.role]


def _silent(matter: Matter) -> list[str]:
    """The roles whose word the plan waits for."""
    evidence = matter.lead.now_evidence or matter.lead.evidence
    missing = evidence.get("missing")
    return missing if isinstance(missing, list) else []


def _word_rows(board: Board) -> list[Row]:
    """One row an item; more than two share one."""
    if len(board.waiting) <= MOST_ITEM_ROWS:
        return [_word_row(board, card) for card in board.waiting]
    numbers = listed([str(card.line.item.number) for card in board.waiting])
    first = _word_row(board, board.waiting[0])
    return [replace(first, headline=f"Plan items {numbers} wait for your answer", step="")]


def _word_row(board: Board, card: PlanCard) -> Row:
    item = card.line.item
    href = reverse("plan_item", args=[board.case.public_id, item.public_id])
    agreed = [mark.role for mark in card.marks if mark.is_agreed]
    text = cut(plan_text(card.line.version, board.access.person), ITEM_LETTERS).rstrip(".")
    text += "" if text.endswith("…") else "."
    said = f"{sentence_case(listed(agreed))} agreed." if agreed else ""
    return Row(
        feet=(),
        headline=f"Plan item {item.number} waits for your answer",
        soon=Soon.WORD,
        when="",
        step=" ".join(filter(None, (text, said, _holds(board, card)))),
        button=_page("Read", href, f"plan item {item.number}"),
        href=href,
        foot_word="",
        is_danger=False,
    )


def _holds(board: Board, card: PlanCard) -> str:
    """A vet's band is compared with from its day on, before everybody has answered."""
    version = card.line.version
    begun = version.from_on is None or version.from_on <= board.today
    is_vets = card.line.item.kind == PlanItem.Kind.TARGET and version.proposed_role == Role.VET
    return "The vet’s band holds already." if is_vets and begun else ""


# -- whom to ring, and when


def _of_its_own(board: Board, matter: Matter, ask: Ask) -> Ask:
    """Who is silent is asked for their word; whoever has not come is not rung for the stand-in."""
    silent = [role for role in _silent(matter) if role != board.access.role]
    if not ask.ring and silent:
        return replace(ask, ring=silent[0])
    return ask


def _when(board: Board, ask: Ask) -> str:
    if ask.soon is Soon.NOW:
        return "Call your vet now"
    if ask.when:
        return ask.when
    if ask.soon is Soon.TODAY:
        return "Today"
    if ask.soon is Soon.WORD:
        return ""
    visit = board.visit_ahead
    return f"{visit.planned_on:%a %-d %b}" if visit else "No day yet"


def _ring(board: Board, ask: Ask, href: str, words: str) -> Button:
    """Rings who is asked; who comes next is rung of what is for the visit. Without a number: the page."""
    member = next(iter(rung_in_order(board, ask.ring)), None)
    if member is None or not member.person.phone or member.person == board.access.person:
        return _page("Read", href, words)
    return _tel(member.person.phone, str(member.person), team_label(member))


def rung_in_order(board: Board, role: str) -> list[Membership]:
    """Those of a role on the team: who comes next, then as the team stands, a stand-in last."""
    team = [line.member for line in board.team if line.member.role == role]
    coming = board.next_visit.planned_for_id if board.next_visit else None
    return sorted(team, key=lambda member: member.person_id != coming)


def _vet_button(board: Board, href: str) -> Button:
    if not board.vet_numbers:
        return _page("Read", href, "what to do")
    number = board.vet_numbers[0]
    return _tel(number["phone"], number["name"], number["label"], short="Vet")


def _tel(phone: str, name: str, role: str, *, short: str = "") -> Button:
    href = f"tel:{dialled(phone)}"
    if short:
        known = f"{name}, {role}" if name else role
        return Button(short, href, f"Ring {short}: {known}, {phone}", True)
    first = name.split(" ")[0]
    return Button(first, href, f"Ring {first}, {role}: {name}, {phone}", True, role)


def _page(label: str, href: str, words: str) -> Button:
    return Button(label, href, f"{label}: {words}", False)


# -- words


def _feet_words(feet: Iterable[str]) -> str:
    codes = set(feet)
    for pair, words in ((FRONTS, "Both fronts"), (HINDS, "Both hinds")):
        if codes == pair:
            return words
    if codes == set(FEET):
        return "All four feet"
    return sentence_case(listed([foot_words(foot) for foot in feet]))


def _worst_sign(flag: Flag) -> str:
    return next((key for key in SIGN_WORDS if key in flag.signs), "")


def _till_then(flag: Flag) -> str:
    """The first of the reviewed lines on what to do until the vet has spoken."""
    return next(iter(advice(flag.signs)), "")
