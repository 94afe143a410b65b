"""What a phone kept and sends: accepted once, by whom it belongs to, and answered so that a script can read it."""

from datetime import datetime, timedelta
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import OperationalError
from django.test import Client, RequestFactory
from django.urls import reverse
from django.utils.http import urlencode

from caseboard.http.drafts import _is_whole
from horses.models import Agreement, Flag, Look, Note, Person, PlanItem, Visit
from horses.services.plan import plan_item_propose
from tests import build
from tests.cast import Cast
from tests.chaos.morning.picture import jpeg
from tests.horses.doors import last_line, shut, text_of
from tests.horses.views.plan_doors import revise

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("clock_stands")]


class Phone:
    """Sends as the script does: by key, named, and with the age of what it sends."""

    def __init__(self, person: Person, *, checks: bool = False) -> None:
        self.person = person
        self.client = Client(enforce_csrf_checks=checks)
        self.client.force_login(person)

    def send(self, path: str, key: str = "k1", *, age: str = "0", **fields: Any) -> Any:
        head = {
            "X-Draft-Key": key,
            "X-Draft-Person": fields.pop("person", self.person.public_id),
            "X-Draft-Age": age,
        }
        if weight := fields.pop("weight", ""):
            head["X-Draft-Bytes"] = str(weight)
        if fields.pop("later", True):
            head["X-Draft-Later"] = "yes"
        files = any(isinstance(one, SimpleUploadedFile) for one in fields.values())
        if files:
            return self.client.post(path, fields, headers=head)
        kind = "application/x-www-form-urlencoded"
        return self.client.post(
            path, urlencode(fields, doseq=True), content_type=kind, headers=head
        )


@pytest.fixture
def phone(cast: Cast) -> Phone:
    return Phone(cast.owner)


def note_path(cast: Cast) -> str:
    return reverse("note_new", args=[cast.case.public_id])


NOTE = {"body": "Quiet today.", "audience": "owner,farrier,vet"}


def note_fields(phone: Phone, cast: Cast) -> dict[str, Any]:
    page = phone.client.get(note_path(cast))
    offered = page.context["form"].fields["audience"].choices
    return {"body": "Quiet today.", "audience": offered[0][0]}


def test_an_accepted_draft_is_answered_with_where_to_go_and_its_key(
    phone: Phone, cast: Cast
) -> None:
    answer = phone.send(note_path(cast), **note_fields(phone, cast))
    assert answer.status_code == 200
    assert answer["X-Draft-Answer"] == "k1"
    assert answer.json()["to"] == reverse("board", args=[cast.case.public_id])
    assert answer.json()["said"][0].startswith("Saved. Read by")
    assert Note.objects.get().body == "Quiet today."


def test_words_for_the_next_page_stay_for_whoever_stands_before_it_and_for_nobody_else(
    phone: Phone, cast: Cast
) -> None:
    fields = note_fields(phone, cast)
    board = reverse("board", args=[cast.case.public_id])
    phone.send(note_path(cast), "k1", **fields)
    assert "Saved. Read by" not in text_of(phone.client.get(board))
    phone.send(note_path(cast), "k2", later=False, **fields)
    assert "Saved. Read by" in text_of(phone.client.get(board))


def test_the_same_draft_sent_again_is_answered_and_not_saved_again(
    phone: Phone, cast: Cast
) -> None:
    fields = note_fields(phone, cast)  # without a key of the form's own
    first, second = (phone.send(note_path(cast), **fields) for _ in range(2))
    assert second.json()["to"] == first.json()["to"]
    assert Note.objects.count() == 1


def test_a_change_of_something_sent_again_is_no_conflict_with_itself(
    phone: Phone, cast: Cast
) -> None:
    path = reverse("horse_edit", args=[cast.case.public_id])
    form = phone.client.get(path).context["form"]
    fields = {name: form[name].value() or "" for name in form.fields} | {"yard": "Box 9"}
    assert "to" in phone.send(path, **fields).json()
    assert "to" in phone.send(path, **fields).json()
    assert phone.send(path, "another", **fields | {"yard": "Box 3"}).status_code == 409


def test_the_same_key_with_other_words_is_refused_on_a_page(phone: Phone, cast: Cast) -> None:
    fields = note_fields(phone, cast)
    phone.send(note_path(cast), **fields)
    answer = phone.send(note_path(cast), **fields | {"body": "Lame today."})
    assert (answer.status_code, answer["X-Draft-Answer"]) == (409, "k1")
    assert "with other words" in text_of(answer)
    assert Note.objects.get().body == "Quiet today."


def test_a_form_with_a_mistake_takes_no_key(phone: Phone, cast: Cast) -> None:
    fields = note_fields(phone, cast)
    answer = phone.send(note_path(cast), **fields | {"body": ""})
    assert (answer.status_code, answer["X-Draft-Answer"]) == (422, "k1")
    assert "to" in phone.send(note_path(cast), **fields).json()


def test_nothing_is_saved_under_somebody_elses_sign_in(cast: Cast) -> None:
    phone = Phone(cast.farrier)
    answer = phone.send(note_path(cast), **note_fields(phone, cast), person=cast.owner.public_id)
    assert answer.status_code == 409
    assert answer.json() == {"other_person": True}
    assert answer["X-Draft-Answer"] == "not reached k1"
    assert not Note.objects.exists()


def test_somebody_signed_out_is_told_so_and_not_sent_to_a_page(phone: Phone, cast: Cast) -> None:
    phone.client.logout()
    answer = phone.send(note_path(cast), **NOTE)
    assert (answer.status_code, answer["X-Draft-Answer"]) == (401, "not reached k1")


def test_an_old_pages_token_is_renewed_by_asking_who_is_signed_in(cast: Cast) -> None:
    phone = Phone(cast.owner, checks=True)
    old = phone.send(note_path(cast), **NOTE)
    assert (old.status_code, old["X-Draft-Answer"]) == (403, "not reached k1")
    said = phone.client.get(reverse("draft_sender")).json()
    assert said["person"] == cast.owner.public_id
    answer = phone.client.post(
        note_path(cast),
        note_fields(phone, cast),
        headers={
            "X-CSRFToken": said["token"],
            "X-Draft-Key": "k1",
            "X-Draft-Person": said["person"],
        },
    )
    assert "to" in answer.json()


def test_who_was_removed_meanwhile_gets_the_page_of_a_stranger_and_keeps_the_draft(
    cast: Cast,
) -> None:
    answer = Phone(cast.removed).send(note_path(cast), **NOTE)
    assert (answer.status_code, answer["X-Draft-Answer"]) == (404, "k1")


def test_a_case_closed_meanwhile_says_so(phone: Phone, cast: Cast, now: datetime) -> None:
    fields = note_fields(phone, cast)
    shut(cast.case, now)
    answer = phone.send(note_path(cast), **fields)
    assert answer.status_code == 403
    assert "This case is closed" in text_of(answer)


def test_a_refusal_said_on_the_next_page_is_no_acceptance(
    phone: Phone, cast: Cast, now: datetime
) -> None:
    build.flag(cast.access(cast.owner), now, "heat")
    answer = phone.send(reverse("daily_look"), one=cast.case.public_id).json()
    assert answer["refused"]
    assert "there is an open flag" in answer["said"][0]
    assert not Look.objects.exists()


def test_a_database_that_takes_nothing_leaves_the_draft_waiting(
    phone: Phone, cast: Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(**_: Any) -> None:
        raise OperationalError("database or disk is full")

    fields = note_fields(phone, cast)
    with monkeypatch.context() as patch:
        patch.setattr("horses.views.notes.note_write", full)
        assert phone.send(note_path(cast), **fields).status_code == 503
    assert "to" in phone.send(note_path(cast), **fields).json()


def test_a_fault_after_the_saving_takes_it_back_so_that_it_is_saved_once_when_it_comes_again(
    phone: Phone, cast: Cast, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fault(*_: Any, **__: Any) -> None:
        raise ValueError("a fault behind the deed")

    fields = note_fields(phone, cast)
    phone.client.raise_request_exception = False
    with monkeypatch.context() as patch:
        patch.setattr("horses.views.notes.saved", fault)
        assert phone.send(note_path(cast), **fields).status_code == 500
    assert not Note.objects.exists()
    assert "to" in phone.send(note_path(cast), **fields).json()
    assert Note.objects.count() == 1


# -- what it means later


def flag_path(cast: Cast) -> str:
    return reverse("flag_new", args=[cast.case.public_id])


YESTERDAY_S = str(26 * 60 * 60)


def test_today_is_the_day_when_it_was_written(phone: Phone, cast: Cast, now: datetime) -> None:
    phone.send(flag_path(cast), age=YESTERDAY_S, signs="heat", since="today")
    written = now - timedelta(seconds=int(YESTERDAY_S))
    assert Flag.objects.get().since_on == written.date()


def test_a_line_of_history_is_of_the_moment_it_came_and_says_when_it_was_written(
    phone: Phone, cast: Cast, now: datetime
) -> None:
    phone.send(flag_path(cast), age=YESTERDAY_S, signs="heat", since="today")
    assert last_line(cast.case, "flag.raised").at == now
    page = text_of(phone.client.get(reverse("history", args=[cast.case.public_id])))
    assert "as the phone says that kept it" in page


@pytest.mark.parametrize("age", ["", "-5", "1e9", "99999999", "60"])
def test_an_age_that_cannot_be_says_nothing(
    phone: Phone, cast: Cast, now: datetime, age: str
) -> None:
    phone.send(flag_path(cast), signs="heat", since="today", age=age)
    assert Flag.objects.get().since_on == now.date()
    page = text_of(phone.client.get(reverse("history", args=[cast.case.public_id])))
    assert "as the phone says" not in page


def test_a_look_is_of_the_moment_when_somebody_looked(
    phone: Phone, cast: Cast, now: datetime
) -> None:
    told = phone.send(reverse("daily_look"), age="7200", one=cast.case.public_id).json()
    assert Look.objects.get().looked_at == now - timedelta(hours=2)
    assert told["said"] == ["Juniper: looked at, nothing seen."]  # too late to take it back


def test_a_look_of_just_now_says_until_when_it_can_be_taken_back(phone: Phone, cast: Cast) -> None:
    told = phone.send(reverse("daily_look"), one=cast.case.public_id).json()
    assert told["said"] == ["Juniper: looked at, nothing seen. Undo until 9:10."]


def test_done_as_last_time_is_of_the_day_when_it_was_tapped(cast: Cast, now: datetime) -> None:
    build.visit(cast.access(cast.farrier), now, (now - timedelta(days=40)).date(), work=WORK)
    path = reverse("visit_as_last", args=[cast.case.public_id])
    answer = Phone(cast.farrier).send(path, age=YESTERDAY_S)
    assert "to" in answer.json()
    days = set(Visit.objects.values_list("kept_on", flat=True))
    assert (now - timedelta(seconds=int(YESTERDAY_S))).date() in days


WORK = [
    build.WorkDone(foot=foot, trimmed=True, shoeing_left="barefoot")
    for foot in ("LF", "RF", "LH", "RH")
]


def test_the_pictures_of_a_flag_have_an_address_to_follow_to(phone: Phone, cast: Cast) -> None:
    told = phone.send(flag_path(cast), signs="heat").json()
    flag = Flag.objects.get()
    assert told["files_to"] == reverse("flag_photos", args=[cast.case.public_id, flag.public_id])


def test_the_pictures_have_their_address_also_when_the_first_answer_was_never_heard(
    phone: Phone, cast: Cast
) -> None:
    first = phone.send(flag_path(cast), signs="heat").json()
    again = phone.send(flag_path(cast), signs="heat").json()
    assert again["files_to"] == first["files_to"]
    assert again["to"] == first["to"]
    assert Flag.objects.count() == 1


def test_half_of_a_forms_pictures_are_not_taken_for_the_whole(phone: Phone, cast: Cast) -> None:
    to = phone.send(flag_path(cast), signs="heat").json()["files_to"]
    one = jpeg("one")

    def send(weight: int) -> Any:
        photo = SimpleUploadedFile("one.jpg", one, "image/jpeg")
        return phone.send(to, "k2", client_key="k2", photos=photo, weight=weight)

    assert send(2 * len(one)).status_code == 400
    assert Flag.objects.get().pictures.count() == 0
    assert send(len(one)).status_code == 200
    assert Flag.objects.get().pictures.count() == 1


def test_half_of_a_forms_words_are_not_taken_for_the_whole() -> None:
    kind = "application/x-www-form-urlencoded"
    request = RequestFactory().post("/", "body=Quiet+to", content_type=kind)
    assert _is_whole(request)
    request.META["CONTENT_LENGTH"] = str(len("body=Quiet+today."))
    assert not _is_whole(request)


# -- agreements


@pytest.fixture
def item(cast: Cast, now: datetime) -> PlanItem:
    return plan_item_propose(
        access=cast.access(cast.farrier), content=build.content(), client_key="", now=now
    )


def test_an_agreement_for_a_version_changed_meanwhile_shows_both_and_is_not_taken(
    phone: Phone, cast: Cast, item: PlanItem, now: datetime
) -> None:
    path = reverse("plan_item", args=[cast.case.public_id, item.public_id])
    seen = phone.client.get(path).context["version"].content_hash
    revise(cast, "farrier", item, now, text="On sand only.")
    answer = phone.send(path, seen_hash=seen, decision="agree")
    assert answer.status_code == 409
    assert "What you were shown, version 1" in text_of(answer)
    assert "As it is now, version 2" in text_of(answer)
    assert not Agreement.objects.filter(person=cast.owner).exists()


def test_an_agreement_is_taken_once_however_often_it_comes(
    phone: Phone, cast: Cast, item: PlanItem
) -> None:
    path = reverse("plan_item", args=[cast.case.public_id, item.public_id])
    seen = phone.client.get(path).context["version"].content_hash
    for _ in range(3):
        assert "to" in phone.send(path, seen_hash=seen, decision="agree").json()
    assert Agreement.objects.filter(person=cast.owner).count() == 1


def test_the_page_and_the_sender_are_there(phone: Phone) -> None:
    assert "Waiting in this phone" in text_of(phone.client.get(reverse("waiting")))
    assert phone.client.get(reverse("draft_sender")).json()["token"]


def test_a_page_says_what_time_it_is_on_the_board_and_a_page_of_trouble_does_not(
    phone: Phone, cast: Cast, now: datetime
) -> None:
    moment = int(now.timestamp() * 1000)
    page = phone.client.get(note_path(cast)).content.decode()
    assert f'data-now="{moment}"' in page
    assert "data-now" not in phone.client.get("/cases/none/").content.decode()
    assert phone.client.get(reverse("draft_sender")).json()["now"] == moment
