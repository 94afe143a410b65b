"""The whole of a case as one person may read it, and the copy of what somebody recorded themself.

Every part comes from the same queries as the pages, so that the copy can show no more than they.
"""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from django.db.models import ForeignKey, Model, prefetch_related_objects
from django.utils.text import slugify

from caseboard.case_reading import CaseReading
from horses.models import FlagAnswer, HistoryLine
from horses.presenters.history_sentences import history_told, line_readers, who_words
from horses.queries.former_members import Former, own_photos, own_rows
from horses.queries.plan_lines import PlanLine
from horses.queries.row_values import row_values
from measurements.queries.film_points import film_value_rows
from measurements.queries.former_members import own_numbers
from measurements.queries.points_kept import own_points, points_of

Rows = list[dict[str, Any]]


@dataclass(frozen=True)
class Copy:
    """What goes into the file: the parts by name, the pictures, and what it says about itself."""

    name: str
    about: tuple[str, ...]  # lines for the person who opens it
    parts: dict[str, Any]
    photos: tuple[tuple[str, Any], ...]  # name in the copy, stored file
    papers: tuple[tuple[str, bytes], ...] = ()  # the issued sheets, as they were printed


ABOUT = (
    "It holds what this person could read at that moment. Notes for other roles are not in it.",
    "case.json holds everything; the .csv files hold the parts that fit a table.",
    "Lengths are in mm, angles in degrees, weights in kg; what was typed stands beside them.",
    "Numbers do not see pain. This does not replace your vet or your farrier.",
)


def case_copy(reading: CaseReading) -> Copy:
    access, case, horse = reading.access, reading.case, reading.horse
    about = (
        f"{horse.name}: {case.title}",
        f"Taken by {access.person} as {access.role}, {reading.now:%-d %b %Y, %H:%M}.",
        *ABOUT,
    )
    parts = {**_about_case(reading), **_said(reading), **_seen(reading), **_agreed(reading)}
    photos = [picture for picture in reading.pictures if picture.redacted_at is None]
    papers = tuple(
        (f"sheet-{paper.sheet.number}-{paper.paper}.pdf", bytes(paper.pdf))
        for paper in reading.papers
    )
    return Copy(_name(horse.name, case.title), about, parts, _named(photos), papers)


# The parts, in the order in which they stand in the file.


def _about_case(reading: CaseReading) -> dict[str, Any]:
    return {
        "horse": row_values(reading.horse),
        "case": row_values(reading.case, without=frozenset({"last_seq", "last_hash"})),
        "team": [
            {
                "name": str(m.person),
                "role": m.role,
                "stand_in": m.stand_in,
                "since": m.joined_at.isoformat(),
                "phone": m.person.phone,
            }
            for m in reading.team
        ],
    }


def _said(reading: CaseReading) -> dict[str, Any]:
    notes = list(reading.notes)
    readable = {note.pk for note in notes}
    return {
        "flags": [
            {
                **row_values(flag),
                "photos": rows_plain(
                    [p for p in reading.pictures if p.flag_id == flag.pk],
                    frozenset({"file", "flag"}),
                ),
                "answers": [_answer(a, readable) for a in flag.answers.all()],
            }
            for flag in reading.flags
        ],
        "notes": rows_plain(notes),
    }


def _seen(reading: CaseReading) -> dict[str, Any]:
    """What was found, done and measured."""
    placed = list(points_of(reading.pictures))
    return {
        "examinations": [
            {**row_values(exam), "feet": rows_plain(exam.feet.all())} for exam in reading.exams
        ],
        "soundness": rows_plain(reading.soundness),
        "weights": rows_plain(reading.weights),
        "looks": rows_plain(reading.looks),
        "pictures": rows_plain(reading.pictures, frozenset({"file"})),
        "points_on_pictures": rows_plain(placed),
        "film_values": film_value_rows(placed),
        "visits": [
            {**row_values(visit), "work": rows_plain(visit.work.all())} for visit in reading.visits
        ],
        "shoe_changes": [
            row_values(change, without=frozenset({"case", "flag"}))
            for change in reading.shoe_changes
        ],
        "sheets_issued": [
            {**row_values(sheet), "content": json.loads(sheet.content)}
            for sheet in reading.sheets.defer(None)
        ],
        "readings": rows_plain(reading.readings),
        "targets": rows_plain(reading.targets),
    }


def _agreed(reading: CaseReading) -> dict[str, Any]:
    """The plan, what is open now, and how all of it came about."""
    return {
        "plan": [_plan_item(line) for line in reading.plan],
        "alerts_now": [
            {**row_values(alert), "words": rows_plain(alert.words.all())}
            for alert in reading.alerts
        ],
        "history": [_line(line) for line in reading.history.order_by("seq")],
    }


def own_copy(former: Former) -> Copy:
    """What this person recorded themself while they were on the case."""
    rows = {**own_rows(former), **own_numbers(former)}
    last = former.last
    parts: dict[str, Any] = {
        "case": {
            "horse": former.case.horse.name,
            "title": former.case.title,
            "id": former.case.public_id,
        },
        "on_the_case": [
            {
                "role": m.role,
                "stand_in": m.stand_in,
                "from": _when(m.joined_at),
                "until": _when(m.left_at),
            }
            for m in former.memberships
        ],
        **{title: rows_plain(found, without=frozenset({"file"})) for title, found in rows.items()},
        "film_values": film_value_rows(own_points(former)),
    }
    about = (
        f"{former.case.horse.name}: {former.case.title}",
        f"What {former.person} recorded as {last.role}, until {former.left_at:%-d %b %Y}.",
        "It holds your own records only, as they stood when you left, and nothing else of the case.",
        "own.json holds everything; the .csv files hold the parts that fit a table.",
    )
    name = _name(former.case.horse.name, former.case.title)
    return Copy(f"own-{name}", about, parts, _named(own_photos(former)))


def _when(moment: datetime | None) -> str | None:
    return moment.isoformat() if moment else None


def rows_plain(rows: Iterable[Model], without: frozenset[str] = frozenset()) -> Rows:
    found = list(rows)
    if found:  # one query for each kind of other row named, however many rows there are
        columns = found[0]._meta.concrete_fields
        prefetch_related_objects(found, *[c.name for c in columns if isinstance(c, ForeignKey)])
    return [row_values(row, without=without) for row in found]


def _answer(answer: FlagAnswer, readable: set[int]) -> dict[str, Any]:
    """A scoped answer names its note only to who may read that."""
    known = answer.note_id is None or answer.note_id in readable
    return row_values(answer, without=frozenset() if known else frozenset({"note"}))


def _plan_item(line: PlanLine) -> dict[str, Any]:
    versions = [
        {
            **row_values(v),
            "words": rows_plain(v.agreements.all()),
            "replies": rows_plain(v.replies.all()),
        }
        for v in line.item.versions.all()
    ]
    return {**row_values(line.item), "agreed": line.state.is_agreed, "versions": versions}


def _line(line: HistoryLine) -> dict[str, Any]:
    """A line in words, and as it was hashed, so that the chain can be checked elsewhere."""
    told = history_told(line)
    return {
        "seq": line.seq,
        "at": line.at.isoformat(),
        "who": who_words(line),
        "did": told.words,
        "words": told.quote,
        "before": told.was,
        "details": list(told.details),
        "readers": line_readers(line),
        "canonical": line.canonical,
        "prev_hash": line.prev_hash,
        "line_hash": line.line_hash,
    }


def _named(photos: Iterable[Any]) -> tuple[tuple[str, Any], ...]:
    return tuple((f"{photo.public_id}.jpg", photo.file) for photo in photos if photo.file)


def _name(horse: str, title: str) -> str:
    return slugify(f"{horse} {title}")[:60] or "case"
