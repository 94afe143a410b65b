"""Lost shoes: what a flag says of the foot, who is asked when, and what became of it."""

from collections.abc import Iterable
from datetime import date, datetime

from django.db import transaction
from django.http import Http404
from django.urls import reverse
from django.utils import timezone

from caseboard.lib.spans import one_or
from caseboard.lib.words import own_sides
from horses.access import CaseAccess, access_on, audience_of
from horses.domain.lost_shoe_advice import STAND_IN_AFTER
from horses.domain.shoe_state import lost_again_words, shoes_from
from horses.domain.signs import is_lost_shoe
from horses.domain.wording import day_words, foot_words, listed
from horses.jobs.outbox import enqueue, job_handler
from horses.ledger.append import history_append
from horses.models import (
    Flag,
    FlagAnswer,
    Foot,
    Horse,
    Membership,
    Person,
    Role,
    ShoeChange,
    Shoeing,
    Visit,
)
from horses.notices.create import notify
from horses.queries.board import flag_is_open
from horses.queries.shoes import open_losses, shoe_events_of, shoes_now
from horses.services.deed import Deed, DeedRefused, deed

Kind = ShoeChange.Kind
ON_AGAIN = (Kind.BACK, Kind.NEW)


def loss_record(access: CaseAccess, flag: Flag, now: datetime) -> tuple[list[ShoeChange], str]:
    """The feet of a lost-shoe flag are bare from that day. Returns the rows, and what a second loss
    says.

    Runs inside the transaction of the flag.
    """
    on = flag.since_on or timezone.localtime(now).date()
    rows = [
        _change(access, flag, foot, Kind.LOST, Shoeing.BAREFOOT, on, "", now) for foot in flag.feet
    ]
    if is_lost_shoe(flag.signs, flag.feet) and _may_be_away(flag):
        enqueue("shoe.stand_in", flag.public_id, now=now, due_at=now + STAND_IN_AFTER)
    feet = shoes_now(access.horse).feet
    again = [foot for foot in flag.feet if foot in feet and feet[foot].lost_times > 1]
    return rows, " ".join(lost_again_words(foot, feet[foot].lost_times) for foot in again)


def _may_be_away(flag: Flag) -> bool:
    """A farrier who wrote it down knows of it."""
    return flag.raised_role != Role.FARRIER


def stand_ins_wait(flag: Flag) -> bool:
    """Whether the farrier is asked first, and the stand-in only when there is no answer."""
    main = Membership.objects.filter(
        case=flag.case, role=Role.FARRIER, stand_in=False, left_at=None, person__is_active=True
    )
    return is_lost_shoe(flag.signs, flag.feet) and main.exclude(person=flag.raised_by).exists()


def _change(
    access: CaseAccess,
    flag: Flag,
    foot: str,
    kind: str,
    left: str,
    on: date,
    words: str,
    now: datetime,
) -> ShoeChange:
    return ShoeChange.objects.create(
        horse=access.horse,
        case=access.case,
        flag=flag,
        foot=foot,
        kind=kind,
        shoeing_left=left,
        changed_on=on,
        words=words,
        recorded_by=access.person,
        recorded_role=access.role,
        recorded_at=now,
    )


@job_handler("shoe.stand_in")
@transaction.atomic
def stand_in_ask(key: str, now: datetime) -> None:
    """The set time is over: without an answer from the farrier the stand-in is asked."""
    flag = Flag.objects.select_related("case__horse").get(public_id=key)
    case, horse = flag.case, flag.case.horse
    said = flag.answers.filter(answered_role=Role.FARRIER).exists()
    if said or not flag_is_open(flag) or not case.is_open or horse.state != Horse.State.ACTIVE:
        return
    names = [str(m.person) for m in stand_ins_of(flag)]
    feet = listed(foot_words(foot) for foot in flag.feet)
    asked = f"{listed(names)} {one_or(len(names), 'is', 'are')} asked"
    words = asked if names else "nobody stands in: phone"
    history_append(
        case=case,
        actor=None,
        role="",
        verb="shoe.stand_in",
        subject=flag.public_id,
        now=now,
        after={"feet": flag.feet, "stand_ins": names},
    )
    notify(
        event=f"shoe.stand_in:{flag.public_id}",
        case=case,
        verb="shoe.stand_in",
        subject=f"{horse.name}: no answer about the lost shoe yet, {words}",
        body=lambda person: (
            f"The {own_sides(feet, person)} shoe was written down as lost on "
            f"{timezone.localtime(flag.raised_at):%-d %b %Y, %H:%M}. The farrier has not answered here. "
            "Whoever goes, answer on the flag, so that only one of you drives."
        ),
        path=reverse("flag", args=[case.public_id, flag.public_id]),
        audience=audience_of({Role.OWNER, Role.FARRIER, Role.CARER}),
        actor=None,
        now=now,
    )


def stand_ins_of(flag: Flag) -> list[Membership]:
    return list(
        Membership.objects.filter(
            case=flag.case, role=Role.FARRIER, stand_in=True, left_at=None, person__is_active=True
        ).select_related("person")
    )


def shoe_back(
    *,
    access: CaseAccess,
    flag_id: str,
    kind: str,
    feet: list[str],
    on: date,
    words: str = "",
    client_key: str = "",
    now: datetime,
) -> FlagAnswer:
    """What became of a lost shoe: tacked back, a new one, or left off. Closes the flag once every
    foot it names is settled."""
    with deed(access, "shoe.back", now=now, key=client_key) as act:
        flag = Flag.objects.filter(case=access.case, public_id=flag_id).first()
        if flag is None or "lost_shoe" not in flag.signs or kind not in Kind.values:
            raise Http404("no such lost shoe")
        payload = {"flag": flag_id, "kind": kind, "feet": feet, "on": on, "words": words}
        if earlier := act.made_before(FlagAnswer, payload):
            return earlier
        Horse.objects.select_for_update(no_key=True).get(pk=access.horse.pk)
        _check(access.horse, access.person, flag, feet, on, now)
        for foot in feet:
            left = _shod_before(access.horse, flag, foot) if kind in ON_AGAIN else "barefoot"
            act.row(_change(access, flag, foot, kind, left, on, words, now))
        done = Kind(kind).label
        told = f"{listed(foot_words(f) for f in feet)}: {done}, {day_words(on)}."
        answer = _answer(act, flag, f"{told} {words}".strip())
        _line_back(act, flag, answer, feet, kind=kind, on=on, words=words)
        act.tell(
            "shoe.back",
            answer,
            lambda person: (
                f"{access.horse.name}: {listed(foot_words(f, person) for f in feet)} shoe {done}"
            ),
            body=words,
            path=reverse("flag", args=[access.case.public_id, flag.public_id]),
        )
        _settle_others(act, set(feet), f"{Kind(kind).label}, {day_words(on)}", on)
        act.evaluate()
        return act.made(answer)


def _check(
    horse: Horse, person: Person, flag: Flag, feet: list[str], on: date, now: datetime
) -> None:
    if not feet or set(feet) - set(flag.feet):
        raise DeedRefused("Choose from the feet that have lost their shoe.", field="feet")
    if on > timezone.localtime(now).date():
        raise DeedRefused("This day is still to come.", field="on")
    settled = set(feet) - set(open_losses(horse, flag))
    if settled:
        names = listed(foot_words(f, person) for f in flag.feet if f in settled)
        words = f"This is written down already for the {names}. Look at the flag."
        raise DeedRefused(words, field="feet")
    if on < (flag.since_on or timezone.localtime(flag.raised_at).date()):
        raise DeedRefused("That is before the shoe was lost. Look at the day.", field="on")


def _shod_before(horse: Horse, flag: Flag, foot: str) -> str:
    """How the foot was shod before it lost its shoe; shod where nothing is known."""
    lost = flag.shoe_changes.filter(foot=foot, kind=Kind.LOST).first()
    if lost is None:
        return Shoeing.SHOD
    before = [
        e for e in shoe_events_of(horse) if (e.on, e.at) < (lost.changed_on, lost.recorded_at)
    ]
    state = shoes_from(before).feet.get(foot)
    return state.shoeing if state and state.is_shod else Shoeing.SHOD


def _answer(act: Deed, flag: Flag, words: str) -> FlagAnswer:
    """The record as an answer of the flag. An urgent flag still waits for its vet."""
    settled = not open_losses(act.access.horse, flag)
    return act.row(
        FlagAnswer.objects.create(
            flag=flag,
            answered_by=act.access.person,
            answered_role=act.access.role,
            answered_at=act.now,
            kind=FlagAnswer.Kind.SHOE_BACK,
            words=words,
            closes=settled and flag.urgency != Flag.Urgency.NOW,
        )
    )


def _line_back(
    act: Deed, flag: Flag, answer: FlagAnswer, feet: list[str], *, kind: str, on: date, words: str
) -> None:
    after = {
        "feet": feet,
        "kind": kind,
        "on": str(on),
        "words": words,
        "closes": answer.closes,
    }
    act.line("shoe.back", flag, after=after)


def losses_settle(act: Deed, visit: Visit, feet: Iterable[str]) -> None:
    """A written-up visit settles the losses of the feet that were worked on, once its work is
    written."""
    assert visit.kept_on is not None
    words = f"Seen to at the visit of {day_words(visit.kept_on)}"
    _settle_others(act, set(feet), words, visit.kept_on)


def _settle_others(act: Deed, feet: set[str], words: str, on: date) -> None:
    """Closes every flag whose feet are all seen to by now, on each board that the person is on:
    the same loss may have been written down twice."""
    person, horse = act.access.person, act.access.horse
    open_cases = Flag.objects.filter(case__horse=horse, case__closed_at=None)
    flags = open_cases.filter(shoe_changes__kind=Kind.LOST).select_related("case__horse")
    for flag in flags.prefetch_related("answers").distinct():
        here = access_on(person, flag.case)
        mine = [foot for foot in flag.feet if foot in feet]
        if here is None or not mine or not flag_is_open(flag) or open_losses(here.horse, flag):
            continue
        there = act.on(here)
        named = listed(Foot(foot).label for foot in mine)
        answer = _answer(there, flag, f"{words}: {named}.")
        _line_back(there, flag, answer, mine, kind="visit", on=on, words="")
