"""Everything the board keeps of one person: their account, and what they recorded on each case."""

from datetime import datetime
from typing import Any

from caseboard.export.case_copy import Copy, rows_plain
from horses.models import Person, YardMember
from horses.queries.former_members import Former, cases_ever_of, own_photos, own_rows
from horses.queries.row_values import row_values
from horses.queries.yards import places_ever_of
from measurements.queries.former_members import own_numbers
from measurements.queries.visit_setup import visit_setup_of

ABOUT_THEM = (
    "name",
    "email",
    "phone",
    "length_unit",
    "weight_unit",
    "side_words",
    "paper",
    "mail_when",
    "quiet_from",
    "quiet_to",
    "joined_at",
    "is_active",
)


def person_copy(person: Person, *, now: datetime) -> Copy:
    cases = [_case(former) for former in cases_ever_of(person)]
    parts: dict[str, Any] = {
        "account": _account(person),
        "visit_form": _visit_form(person),
        "yards": [_place(place) for place in places_ever_of(person)],
        "cases": cases,
    }
    about = (
        f"What is kept of {person}, taken on {now:%-d %B %Y}.",
        "person.json holds the account and, case by case, what this person recorded themself.",
        "What others wrote is not in it, also where it speaks of this person.",
    )
    photos = tuple(
        (f"{photo.public_id}.jpg", photo.file)
        for former in cases_ever_of(person)
        for photo in own_photos(former)
        if photo.file
    )
    return Copy("person", about, parts, photos)


def _visit_form(person: Person) -> dict[str, Any] | None:
    """How they like the form of a visit; nothing where they never chose."""
    setup = visit_setup_of(person)
    if setup is None:
        return None
    return {name: getattr(setup, name) for name in ("measured", "feet", "blind", "shoes")}


def _place(place: YardMember) -> dict[str, Any]:
    return {
        "yard": place.yard.name,
        "role": place.role,
        "asked_at": _when(place.asked_at),
        "confirmed_at": _when(place.confirmed_at),
        "ended_at": _when(place.ended_at),
    }


def _account(person: Person) -> dict[str, Any]:
    values = row_values(person, without=frozenset({"password"}))
    sign_ins = person.sign_ins.order_by("signed_in_at")
    return {
        **{name: values[name] for name in ABOUT_THEM},
        "sign_ins": [
            {"device": row.device, "way": row.way, "last_seen_at": _when(row.last_seen_at)}
            for row in sign_ins
        ],
        "passkeys": [
            {"name": key.name, "added_at": _when(key.added_at)} for key in person.passkeys.all()
        ],
        "addresses_before": [
            {"old": change.old, "new": change.new, "changed_at": _when(change.changed_at)}
            for change in person.email_changes.all()
        ],
    }


def _case(former: Former) -> dict[str, Any]:
    rows = {**own_rows(former), **own_numbers(former)}
    return {
        "horse": former.case.horse.name,
        "title": former.case.title,
        "roles": [
            {"role": m.role, "from": _when(m.joined_at), "until": _when(m.left_at)}
            for m in former.memberships
        ],
        **{title: rows_plain(found, without=frozenset({"file"})) for title, found in rows.items()},
    }


def _when(moment: datetime | None) -> str | None:
    return moment.isoformat() if moment else None
