"""The deeds of a visit: planned, written up, corrected; readings and targets."""

from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from typing import Any

from horses.access import CaseAccess
from horses.services.exam_correct import exam_correct, exam_void
from horses.services.exams import FootFound, Grade
from horses.services.interval import IntervalWish, interval_set
from horses.services.stops import stop_late
from horses.services.toe_direction import stance_note
from horses.services.visit_planning import visit_cancel, visit_confirm, visit_plan
from horses.services.visit_vouch import report_confirm
from horses.services.visit_word import report_take_back, visit_deny, visit_report
from horses.services.visits import WorkDone, visit_record
from measurements.queries.picture_points import measured_only, values_of
from measurements.services.picture_points import Placed, points_place
from measurements.services.points_readings import points_readings_record, taken_from
from measurements.services.readings import (
    Taken,
    reading_correct,
    readings_import,
    readings_record,
)
from measurements.services.targets import target_set
from measurements.services.visit_correct import visit_put_right
from measurements.services.visit_record import visit_write_up
from measurements.services.visit_void import visit_take_back
from tests import build
from tests.deed import Deed, Do, today
from tests.pictures import CARD, FILM_POINTS, SIDE_POINTS
from tests.stage import Stage
from tests.stage_pictures import film_of, points_of, side_of


def _work() -> list[WorkDone]:
    return [WorkDone(foot=foot, trimmed=True, shoeing_left="shod") for foot in ("LF", "RF")]


def _rows(twist: bool) -> list[Taken]:
    value = 52 if twist else 50
    return [build.taken("LF", "toe_angle", value), build.taken("RF", "toe_angle", 51)]


def _readings(stage: Stage, access: CaseAccess, shared: dict[str, Any], twist: bool) -> Any:
    return readings_record(taken_on=today(shared), readings=_rows(twist), **shared)[0]


def _old_readings(stage: Stage, access: CaseAccess, shared: dict[str, Any], twist: bool) -> Any:
    return readings_import(days={today(shared): _rows(twist)}, **shared)[0]


def _correct(stage: Stage, access: CaseAccess, shared: dict[str, Any], twist: bool) -> Any:
    own = stage.readings.get(str(access.role), stage.readings["owner"])
    taken = replace(build.taken(own.foot, "toe_angle", 49))
    return reading_correct(reading_id=own.public_id, taken=taken, reason="Slipped.", **shared)


def _write_up(stage: Stage, access: CaseAccess, shared: dict[str, Any], twist: bool) -> Any:
    rows = [build.taken("LF", "toe_angle", 53 if twist else 52)]
    return visit_write_up(kept_on=today(shared), work=_work(), readings=rows, **shared)


def _points(stage: Stage, access: CaseAccess, shared: dict[str, Any], twist: bool) -> Any:
    toe = {"toe_low": (518.0, 561.0)} if twist else {}
    placed = Placed({**SIDE_POINTS, **toe}, card_corners=CARD, card_mm=Decimal(60))
    return points_place(picture_id=side_of(stage).public_id, placed=placed, **shared)


def _film_points(stage: Stage, access: CaseAccess, shared: dict[str, Any], twist: bool) -> Any:
    tip = {"bone_tip": (501.0, 602.0)} if twist else {}
    placed = Placed({**FILM_POINTS, **tip}, marker_mm=Decimal(50))
    return points_place(picture_id=film_of(stage).public_id, placed=placed, **shared)


def _of_points(stage: Stage, access: CaseAccess, shared: dict[str, Any], twist: bool) -> Any:
    row = points_of(stage, access.role)
    found = measured_only(values_of(row))["toe_angle"]
    state = "before" if twist else "between"
    taken = taken_from(row, "toe_angle", found, trim_state=state, shoeing="shod", sure=False)
    return points_readings_record(points_id=row.public_id, readings=[taken], **shared)[0]


def _target(therapeutic: bool) -> Do:
    def do(stage: Stage, access: CaseAccess, shared: dict[str, Any], twist: bool) -> Any:
        high = Decimal(55 if twist else 54)
        return target_set(band=build.band(therapeutic=therapeutic, high=high), **shared)

    return do


DEEDS: tuple[Deed, ...] = (
    Deed(
        "say that one is late",
        "visit.late",
        "visit.late",
        lambda st, s, k, t: stop_late(
            accesses=[k["access"]],
            kind="farrier",
            minutes=60 if t else 30,
            client_key=k["client_key"],
            now=k["now"],
        ),
        keyed=True,
        tells=True,
    ),
    Deed(
        "record the work on the feet",
        "work.record",
        "visit.kept",
        lambda st, s, k, t: visit_record(
            kept_on=today(k), work=_work(), words="two" if t else "one", **k
        ),
        keyed=True,
        tells=True,
    ),
    Deed("place points", "points.place", "points.placed", _points, keyed=True),
    Deed(
        "place points on a film", "points.place_on_film", "points.placed", _film_points, keyed=True
    ),
    Deed("write points down", "reading.record", "readings.recorded", _of_points, keyed=True),
    Deed("write up a visit", "work.record", "readings.recorded", _write_up, keyed=True, tells=True),
    Deed(
        "plan a visit",
        "visit.plan",
        "visit.moved",
        lambda st, s, k, t: visit_plan(on=today(k) + timedelta(days=4), **k),
        tells=True,
    ),
    Deed(
        "confirm a visit",
        "visit.confirm",
        "visit.confirmed",
        lambda st, s, k, t: visit_confirm(public_id=st.planned.public_id, **k),
        tells=True,
    ),
    Deed(
        "set the time between trims",
        "interval.set",
        "interval.set",
        lambda st, s, k, t: interval_set(wish=IntervalWish("team", 35, why="Long toes."), **k),
        tells=True,
    ),
    Deed(
        "note how the feet point",
        "stance.note",
        "stance.noted",
        lambda st, s, k, t: stance_note(
            seen_on=today(k), stances={"LF": 1 if t else -1, "RF": 0}, **k
        ),
        keyed=True,
    ),
    Deed(
        "cancel a visit",
        "visit.plan",
        "visit.cancelled",
        lambda st, s, k, t: visit_cancel(public_id=st.planned.public_id, reason="Ill", **k),
        tells=True,
    ),
    Deed(
        "correct a visit",
        "visit.correct",
        "visit.corrected",
        lambda st, s, k, t: visit_put_right(
            public_id=st.kept.public_id,
            kept_on=st.kept.kept_on or today(k),
            work=[],
            readings=[],
            words="Two shoes." if t else "Four shoes.",
            outcomes=[],
            reason="No.",
            **k,
        ),
        keyed=True,
        tells=True,
    ),
    Deed(
        "correct an examination",
        "exam.correct",
        "exam.corrected",
        lambda st, s, k, t: exam_correct(
            exam_id=st.exam.public_id,
            examined_at=k["now"],
            feet=[FootFound("RF", pulse=2)],
            grade=Grade("aaep", 3),
            words="Other." if t else "Sound.",
            reason="No.",
            **k,
        ),
        keyed=True,
        tells=True,
    ),
    Deed(
        "take back an examination",
        "exam.correct",
        "exam.voided",
        lambda st, s, k, t: exam_void(exam_id=st.exam.public_id, reason="No.", **k),
        tells=True,
    ),
    Deed(
        "take back a visit",
        "visit.void",
        "visit.voided",
        lambda st, s, k, t: visit_take_back(public_id=st.kept.public_id, reason="No.", **k),
        tells=True,
    ),
    Deed(
        "report a visit",
        "visit.report",
        "visit.reported",
        lambda st, s, k, t: visit_report(
            on=today(k) - timedelta(days=20), words="Lost one." if t else "", **k
        ),
        keyed=True,
        tells=True,
    ),
    Deed(
        "say that a visit did not take place",
        "visit.report",
        "visit.denied",
        lambda st, s, k, t: visit_deny(public_id=st.asked_about.public_id, **k),
        tells=True,
    ),
    Deed(
        "take back a report",
        "visit.report",
        "visit.unsaid",
        lambda st, s, k, t: report_take_back(
            public_id=st.reports[str(s.role)].public_id, reason="No.", **k
        ),
        tells=True,
    ),
    Deed(
        "confirm a report",
        "visit.vouch",
        "visit.vouched",
        lambda st, s, k, t: report_confirm(
            public_id=st.reported_of.get(str(s.role), st.reports["owner"]).public_id,
            left="shod",
            **k,
        ),
        tells=True,
    ),
    Deed("record measurements", "reading.record", "readings.recorded", _readings, keyed=True),
    Deed("read in old measurements", "reading.import", "readings.recorded", _old_readings),
    Deed("correct a measurement", "reading.correct", "reading.corrected", _correct),
    Deed(
        "set a routine aim", "target.routine", "target.set", _target(False), keyed=True, tells=True
    ),
    Deed(
        "set a therapeutic target",
        "target.therapeutic",
        "target.set",
        _target(True),
        keyed=True,
        tells=True,
    ),
)
