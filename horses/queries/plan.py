"""One plan item as one person reads it: where it stands, what changed, what is still missing."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import prefetch_related_objects
from django.http import Http404

from horses.access import CaseAccess
from horses.domain.wording import Piece, day_words, listed, sentence_case, words_changed
from horses.models import AGREEING_ROLES, Agreement, Membership, PlanItemVersion, PlanReply, Role
from horses.queries.board import team_for
from horses.queries.plan_lines import PlanLine, plan_for
from horses.queries.plan_state import MARK_WORDS, is_objected_to


@dataclass(frozen=True)
class Change:
    """One field of an item, its old and new words as one text."""

    label: str
    pieces: tuple[Piece, ...]


@dataclass(frozen=True)
class Mark:
    """One named agreement mark, as the page's part takes it."""

    role: str
    state: str  # agreed, declined, asked, waiting, vacant
    who: str = ""
    mine: bool = False
    others: tuple[str, ...] = ()  # the words of the role's other people, where they disagree

    @property
    def is_agreed(self) -> bool:
        return self.state == "agreed"

    @property
    def is_declined(self) -> bool:
        return self.state == "declined"

    @property
    def waits_for_me(self) -> bool:
        return self.mine and self.state == "waiting"

    @property
    def said_by(self) -> str:
        """Whoever said it; nobody, while it waits."""
        return "" if self.state == "waiting" else self.who

    @property
    def words(self) -> str:
        return {**MARK_WORDS, "vacant": "needed, nobody yet"}.get(self.state, "not yet")


@dataclass(frozen=True)
class VersionShown:
    """One version with everything that was said about it."""

    version: PlanItemVersion
    words: tuple[Agreement, ...]
    replies: tuple[PlanReply, ...]
    changes: tuple[Change, ...]  # from the version before


@dataclass(frozen=True)
class PlanShown:
    """Everything the page of one item says."""

    line: PlanLine
    marks: tuple[Mark, ...]
    standing_words: str
    vacancies: tuple[str, ...]
    my_word: Agreement | None
    agreed_before: PlanItemVersion | None  # the last version that I agreed to, before this one
    changes: tuple[Change, ...]  # since that one
    now: VersionShown
    older: tuple[VersionShown, ...]  # newest first

    @property
    def version(self) -> PlanItemVersion:
        return self.line.version

    @property
    def talk(self) -> list[Agreement | PlanReply]:
        """Every word with a reason and every reply to it, in the order in which they were said."""
        words: list[Agreement | PlanReply] = [word for word in self.now.words if word.reason]
        said = [*words, *self.now.replies]
        return sorted(said, key=lambda one: getattr(one, "decided_at", None) or one.said_at)  # type: ignore[union-attr]  # one of the two has it

    @property
    def may_be_replied_to(self) -> bool:
        """Somebody declines this version or asks for a change to it, and has not agreed since."""
        return self.line.is_open and is_objected_to(self.line.version)


def plan_line_get(access: CaseAccess, item_id: str) -> PlanLine:
    for line in plan_for(access):
        if line.item.public_id == item_id:
            prefetch_related_objects([line.version], "outcomes__visit__corrected_by")
            prefetch_related_objects(list(line.item.versions.all()), "replies")
            return line
    raise Http404("no such plan item")


def plan_shown(access: CaseAccess, line: PlanLine) -> PlanShown:
    versions = list(line.item.versions.all())
    team = team_for(access)
    mine = [_word_of(access, version) for version in versions]
    agreed = [v for v, word in zip(versions[:-1], mine, strict=False) if _is_agreed(word)]
    before = agreed[-1] if agreed else None
    shown = [_version_shown(v, p) for v, p in zip(versions, [None, *versions], strict=False)]
    return PlanShown(
        line=line,
        marks=marks_of(access, line),
        standing_words=standing_words(line, team),
        vacancies=vacancies(line, team),
        my_word=mine[-1],
        agreed_before=before,
        changes=changes_between(before, line.version) if before else (),
        now=shown[-1],
        older=tuple(reversed(shown[:-1])),
    )


def _word_of(access: CaseAccess, version: PlanItemVersion) -> Agreement | None:
    """The person's last word on this version, for the role they have now."""
    words = [
        word
        for word in version.agreements.all()
        if word.person_id == access.person.pk and word.role == access.role
    ]
    return words[-1] if words else None


def _is_agreed(word: Agreement | None) -> bool:
    return word is not None and word.decision == Agreement.Decision.AGREE


def _version_shown(version: PlanItemVersion, before: PlanItemVersion | None) -> VersionShown:
    changes = changes_between(before, version) if before else ()
    words, replies = tuple(version.agreements.all()), tuple(version.replies.all())
    return VersionShown(version, words, replies, changes)


def marks_of(access: CaseAccess, line: PlanLine) -> tuple[Mark, ...]:
    """The named marks of one item, in the order in which the roles are always named."""
    return tuple(
        Mark(
            role,
            "vacant" if mark == "waiting" and role in line.vacant else mark,
            line.names.get(role, ""),
            role == access.role,
            line.others.get(role, ()),
        )
        for role, mark in line.state.marks.items()
    )


# -- in words


def standing_words(line: PlanLine, team: Sequence[Membership]) -> str:
    """Whether it is agreed, and if not, who is still missing, by role and name."""
    if line.state.is_agreed:
        return f"Agreed by everyone it needs: {listed(line.state.marks)}."
    missing = [_missing_words(line, role, team) for role in line.state.missing]
    if line.set_alone:
        held = "in force now" if line.in_force else "no longer in force, because it was declined"
        return f"Set by the vet, to be agreed ({held}): {'; '.join(missing)}."
    return f"Not agreed yet: {'; '.join(missing)}."


def _missing_words(line: PlanLine, role: str, team: Sequence[Membership]) -> str:
    mark = line.state.marks[role]
    if others := line.others.get(role):
        said = "; ".join([f"{MARK_WORDS[mark]}: {line.names[role]}", *others])
        return f"the {role}s are not of one mind ({said})"
    if mark == "declined":
        return f"the {role} has declined"
    if mark == "asked":
        return f"the {role} asks for a change"
    people = [str(member.person) for member in team if member.role == role]
    if not people:
        return f"the {role} is needed, and nobody on the team is one"
    return f"the {role} has not answered ({listed(people, 'or')})"


def vacancies(line: PlanLine, team: Sequence[Membership]) -> tuple[str, ...]:
    """The roles that nobody holds and that this item goes without, said in words."""
    held = {member.role for member in team}
    return tuple(
        f"There is no {Role(role).label} on this team: nobody agrees for the {role}'s side."
        for role in AGREEING_ROLES
        if role not in held and role not in line.state.marks
    )


# -- what changed


def changes_between(old: PlanItemVersion, new: PlanItemVersion) -> tuple[Change, ...]:
    """The fields that differ, word by word."""
    before, after = _fields(old), _fields(new)
    return tuple(
        Change(label, tuple(words_changed(before[label], after[label])))
        for label in after
        if before[label] != after[label]
    )


def _fields(version: PlanItemVersion) -> dict[str, str]:
    return {
        "What": version.text,
        "Who does it": sentence_case(version.get_who_does_display()),
        "From": day_words(version.from_on),
        "Until": day_words(version.until_on),
        "Why": version.reason,
        "Under the vet's direction": "Yes" if version.therapeutic else "No",
        "Set by the vet alone": "Yes" if version.emergency else "No",
    }
