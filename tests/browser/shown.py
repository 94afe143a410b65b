"""A case with one of everything on it, for the tests that look at every page."""

import io
from dataclasses import dataclass
from datetime import datetime, timedelta
from decimal import Decimal

from PIL import Image

from horses.access import CaseAccess
from horses.accounts.services.email_changes import address_change, way_back_token
from horses.models import (
    Alert,
    EmailChange,
    Exam,
    Flag,
    Invitation,
    Membership,
    PlanItem,
    PlanSheet,
    Role,
    Visit,
)
from horses.rules.engine import evaluate
from horses.services.exams import FootFound, Grade, exam_record
from horses.services.flags import flag_answer
from horses.services.invitations import invitation_create, token_for
from horses.services.photos import flag_raise_with_photos
from horses.services.plan import latest_version, plan_item_decide, plan_item_revise
from horses.services.visit_planning import visit_plan
from measurements.models import Reading
from measurements.services.picture_points import Placed, points_place
from tests import build
from tests.cast import Cast
from tests.pictures import FILM_POINTS
from tests.pictures import picture as film_picture
from tests.stage import photo


@dataclass
class Shown:
    """The names by which the pages of this case are asked for."""

    cast: Cast
    flag: Flag
    urgent: Flag
    exam: Exam
    item: PlanItem  # has two versions, and one agreement
    alert: Alert
    invitation: Invitation
    stand_in: Membership
    planned: Visit
    kept: Visit
    corrected: Reading
    sheet: PlanSheet
    change: EmailChange

    @property
    def case_id(self) -> str:
        return self.cast.concern.public_id

    def access(self, role: str) -> CaseAccess:
        return self.cast.access(getattr(self.cast, role), self.cast.concern)

    @property
    def names(self) -> dict[str, str]:
        """What the parts in addresses stand for."""
        return {
            "case_id": self.case_id,
            "role": "vet",
            "flag_id": self.flag.public_id,
            "picture_id": self.flag.pictures.get().public_id,
            "exam_id": self.exam.public_id,
            "item_id": self.item.public_id,
            "alert_id": self.alert.public_id,
            "visit_id": self.planned.public_id,
            "kept_id": self.kept.public_id,
            "membership_id": self.stand_in.public_id,
            "reading_id": self.corrected.public_id,
            "invitation_id": self.invitation.public_id,
            "token": token_for(self.invitation.public_id),
            "change_id": self.change.public_id,
            "way_back": way_back_token(self.change.public_id),
            "foot": "LF",
            "quantity": "toe_angle",
            "number": "1",
            "code": self.sheet.code,
        }


def picture() -> bytes:
    made = io.BytesIO()
    Image.new("RGB", (320, 240), (120, 96, 70)).save(made, "JPEG")
    return made.getvalue()


def show_everything(cast: Cast, now: datetime) -> Shown:
    """A slow change in the left fore with its alert, and something of every kind beside it."""
    at = now - timedelta(days=3)
    owner, vet, farrier = (
        cast.access(who, cast.concern) for who in (cast.owner, cast.vet, cast.farrier)
    )
    build.series(farrier, at, [54, 53.2, 52.1, 51.3, 50.2, 49.1, 48.2])
    build.series(farrier, at, [82, 83, 82, 84], quantity="toe_length", fall=-6)
    corrected = build.reading(farrier, at, "RF", "toe_angle", 52, at.date())
    kept = build.visit(farrier, at, at.date(), words="Both fores took longer.")
    build.target(vet, at, foot="LF")
    build.target(vet, at, foot="RF", low=Decimal(49), high=Decimal(55))
    flag = flag_raise_with_photos(
        access=owner,
        signs=["short_stride", "stumbling", "lost_shoe"],
        feet=["LF"],
        since_on=at.date(),
        words="Short on the left fore since Tuesday.",
        photos=[photo(picture())],
        now=at,
    )
    flag_answer(
        access=vet,
        flag_id=flag.public_id,
        words="Seen, thank you.",
        now=at,
        audience=frozenset({"vet", "farrier"}),
    )
    exam = exam_record(
        access=vet,
        examined_at=at,
        feet=[FootFound("LF", pulse=1, testers="mild")],
        grade=Grade("aaep", 2, surface="hard, left circle", painkiller="The usual one"),
        words="Mild in front.",
        now=at,
    )
    for taken_at in (
        at - timedelta(days=60),
        at,
    ):  # with the one before beside it, and one without points
        film = film_picture(vet, taken_at, view="film_side", of="exam", of_id=exam.public_id)
        placed = Placed(FILM_POINTS, marker_mm=Decimal(50))
        points_place(access=vet, picture_id=film.public_id, placed=placed, now=taken_at)
    film_picture(vet, at, foot="RF", view="film_side", of="exam", of_id=exam.public_id)
    build.note(vet, at, "Films of both fores on Monday.", {"vet", "farrier"})
    build.note(owner, at, "It rolled on grass today.")
    item = build.plan_item(owner, at, text="Walk in hand twice a day.")
    plan_item_decide(
        access=vet,
        item_id=item.public_id,
        decision="agree",
        now=at,
        seen_hash=latest_version(item).content_hash,
    )
    plan_item_revise(
        access=farrier,
        item_id=item.public_id,
        seen_version=1,
        now=at,
        content=build.content("Walk in hand once a day, on soft ground."),
    )
    planned = visit_plan(access=farrier, on=(now + timedelta(days=9)).date(), now=at)
    asked = invitation_create(access=owner, email=cast.invited.email, role=Role.VET, now=at)
    urgent = build.flag(owner, now - timedelta(hours=3), "in_sole", words="A nail, right hind.")
    evaluate(cast.horse, now=now)
    return Shown(
        cast=cast,
        flag=flag,
        urgent=urgent,
        exam=exam,
        item=item,
        alert=Alert.objects.filter(
            horse=cast.horse, weight="alert", subject__startswith="LF"
        ).earliest("pk"),
        invitation=asked,
        stand_in=Membership.objects.get(case=cast.concern, person=cast.stand_in, left_at=None),
        planned=planned,
        kept=kept,
        corrected=corrected,
        sheet=build.sheet(owner, now),
        change=address_change(person=cast.stranger, new="sten.new@example.test", now=at),
    )
