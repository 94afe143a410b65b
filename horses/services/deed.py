"""The frame that every deed on a board runs in: one transaction, the right, the key of its form, its
line of history with the fingerprints of its rows, its notices, and the look of the rules after it.

    with deed(access, "note.write", now=now, key=client_key) as act:
        if earlier := act.made_before(Note, payload):
            return earlier
        note = act.row(Note.objects.create(…))
        act.line("note.written", note, after={…})
        act.tell("note.written", note, "…", body=words)
        act.evaluate()
        return act.made(note)

The order is the order of locks: memberships (the right), horse, case (the line). A deed inside
another one, a band that proposes its plan item, runs in the frame of its own.
"""

from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import datetime
from typing import Any, TypeVar

from django.db import transaction

from caseboard.lib.written import WRITTEN, written_at
from horses.access import TEAM_AUDIENCE, CaseAccess, require, team_lock
from horses.ledger.append import Told, history_append, history_extend
from horses.models import IdempotencyKey, Membership, Person
from horses.models.base import AppendOnly, Record
from horses.notices.create import Words, notify
from horses.rules.engine import evaluation_enqueue
from horses.services.idempotency import key_claim, key_result

R = TypeVar("R", bound=Record)
K = TypeVar("K", bound=AppendOnly)


class DeedRefused(Exception):
    """A deed cannot stand as asked: the reason in words, and the field of the form it is about."""

    def __init__(self, words: str, *, field: str | None = None) -> None:
        super().__init__(words)
        self.field = field


class Deed:
    """A deed under way; made by `deed`."""

    def __init__(self, access: CaseAccess, key: str, now: datetime) -> None:
        self.access, self.now = access, now
        self.team: list[Membership] = []  # the members, locked, when the deed was for `team_first`
        self._key = key
        self._claimed: IdempotencyKey | None = None
        self._rows: list[AppendOnly] = []

    def made_before(self, model: type[R], payload: Mapping[str, Any]) -> R | None:
        """What this key made, when the same form was sent before. Raises KeyReused for a key that
        came with another payload; without a key (commands, imports) there is no "before"."""
        if not self._key:
            return None
        person: Person = self.access.person
        self._claimed, earlier = key_claim(person, self._key, payload, model, now=self.now)
        return earlier

    def made(self, row: R) -> R:
        """The deed's result: its key leads to it from now on."""
        if self._claimed is not None:
            key_result(self._claimed, row)
        return row

    def row(self, row: K) -> K:
        """A row kept as written that comes with this deed: its next line carries its fingerprint."""
        self._rows.append(row)
        return row

    def rows(self, rows: Iterable[AppendOnly]) -> None:
        self._rows += rows

    def line(
        self,
        verb: str,
        subject: Record | str,
        *,
        after: dict[str, Any] | None = None,
        before: dict[str, Any] | None = None,
        audience: str = TEAM_AUDIENCE,
        by_board: bool = False,
    ) -> None:
        """The line of history, by this person in their role or by the board itself, with the rows
        named so far."""
        history_append(
            case=self.access.case,
            actor=None if by_board else self.access.person,
            role="" if by_board else self.access.role,
            verb=verb,
            subject=subject if isinstance(subject, str) else subject.public_id,
            now=self.now,
            audience=audience,
            before=before,
            after=after if by_board else _with_written(after),
            rows=self._rows,
        )
        self._rows = []

    def lines(self, told: Sequence[Told]) -> None:
        """Many lines by this person, each with rows of its own, in one go."""
        told = [replace(one, after=_with_written(one.after)) for one in told]
        history_extend(
            case=self.access.case,
            actor=self.access.person,
            role=self.access.role,
            told=told,
            now=self.now,
        )

    def tell(
        self,
        verb: str,
        event: Record | str,
        subject: Words,
        *,
        body: Words = "",
        path: str = "",
        audience: str = TEAM_AUDIENCE,
        urgent: bool = False,
        stand_ins: bool = True,
        only: Container[int] | None = None,
        among: str = "",
    ) -> None:
        """One notice a person and channel, to everybody in the audience but who did it. `event` is
        what may happen once only, told once: a row, or words of its own after the verb. `among`
        stands for the verb there, where one of several verbs tells the same event."""
        name = event if isinstance(event, str) else event.public_id
        notify(
            event=f"{among or verb}:{name}",
            case=self.access.case,
            verb=verb,
            subject=subject,
            body=body,
            path=path,
            audience=audience,
            actor=self.access.person,
            urgent=urgent,
            stand_ins=stand_ins,
            only=only,
            now=self.now,
        )

    def on(self, access: CaseAccess) -> "Deed":
        """The same deed on another board of the horse: what it writes there has lines there."""
        return Deed(access, "", self.now)

    def evaluate(self) -> None:
        """The rules look at the horse once this is saved."""
        evaluation_enqueue(self.access.horse, now=self.now)


def _with_written(after: dict[str, Any] | None) -> dict[str, Any] | None:
    """A line is of the moment when it was saved; what was written before says so as well."""
    at = written_at()
    return after if at is None else {**(after or {}), WRITTEN: at.isoformat(timespec="minutes")}


@contextmanager
def deed(
    access: CaseAccess,
    action: str,
    *,
    now: datetime,
    key: str = "",
    closed_too: bool = False,
    team_first: bool = False,
) -> Iterator[Deed]:
    """One deed in one transaction, if the person may do it (PermissionDenied when not).

    `closed_too`: on a closed case as well, where the deed itself says what that means.
    `team_first`: what the team is writing is finished first, and nothing of theirs comes after it.
    """
    with transaction.atomic():
        act = Deed(access, key, now)
        if team_first:
            act.team = team_lock(access.case)
        require(access, action, closed_too=closed_too)
        yield act
