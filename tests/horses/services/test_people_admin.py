"""What who runs the installation does for people."""

from datetime import datetime

import pytest
from allauth.account.models import EmailAddress
from django.core.management import call_command
from django.test import Client

from horses.accounts.services.people_admin import (
    AccountCommandError,
    only_owner_of,
    person_erase,
    person_find,
    person_lock,
    person_make,
    person_unlock,
    sign_ins_end,
)
from horses.ledger.verify import broken_lines
from horses.models import HistoryLine, Membership, Note, Person, Picture, SignIn
from horses.services.photos import flag_photos_add
from tests import build
from tests.cast import Cast
from tests.stage import photo as sent_photo

pytestmark = pytest.mark.django_db


def test_an_account_made_here_needs_one_code_only(client: Client) -> None:
    person = person_make(email="new@example.org", name="New Person")
    assert EmailAddress.objects.get(user=person).verified


def test_an_address_that_somebody_has_is_refused_however_it_is_spelled(cast: Cast) -> None:
    with pytest.raises(AccountCommandError):
        person_make(email=cast.owner.email.upper(), name="Somebody")


def test_an_unknown_address_is_said() -> None:
    with pytest.raises(AccountCommandError, match="nobody@example.org"):
        person_find("nobody@example.org")


def test_locking_ends_the_session_with_the_next_click(client: Client, cast: Cast) -> None:
    client.force_login(cast.owner)
    board = f"/cases/{cast.case.public_id}/"
    assert client.get(board).status_code == 200
    assert person_lock(person=cast.owner) >= 1
    assert client.get(board).status_code == 302
    person_unlock(person=cast.owner)
    client.force_login(cast.owner)
    assert client.get(board).status_code == 200


def test_ending_sign_ins_leaves_the_account_open(client: Client, cast: Cast) -> None:
    client.force_login(cast.vet)
    assert sign_ins_end(person=cast.vet) >= 1
    assert not SignIn.objects.filter(person=cast.vet).exists()
    assert Person.objects.get(pk=cast.vet.pk).is_active


def test_erasing_takes_the_person_away_and_leaves_what_others_rely_on(
    cast: Cast, now: datetime
) -> None:
    flag = build.flag(cast.access(cast.vet), now)
    vet = cast.access(cast.vet)
    flag_photos_add(access=vet, flag_id=flag.public_id, photos=[sent_photo()], now=now)
    photo = Picture.objects.get()
    build.note(cast.access(cast.vet), now)
    name, old = cast.vet.name, cast.vet.email
    gone = person_erase(person=cast.vet, now=now)

    person = Person.objects.get(pk=cast.vet.pk)
    assert old not in str(person.__dict__)
    assert (person.phone, person.is_active) == ("", False)
    assert (gone.photos, gone.boards_left > 0) == (1, True)
    photo.refresh_from_db()
    assert (photo.file.name, photo.redacted_at) == ("", now)
    assert not Membership.objects.filter(person=person, left_at=None).exists()
    assert Note.objects.filter(author=person).exists()
    assert HistoryLine.objects.filter(actor_name=name).exists()
    for case in (cast.case, cast.concern):
        assert list(broken_lines(case)) == []


def test_the_last_owner_is_named_and_not_erased_by_accident(cast: Cast, now: datetime) -> None:
    alone = only_owner_of(cast.owner)
    assert alone
    with pytest.raises(AccountCommandError, match=alone[0].horse.name):
        person_erase(person=cast.owner, now=now)
    assert Person.objects.get(pk=cast.owner.pk).is_active
    gone = person_erase(person=cast.owner, now=now, though_last_owner=True)
    assert gone.without_owner


def test_an_erased_account_is_neither_erased_again_nor_unlocked(cast: Cast, now: datetime) -> None:
    person_erase(person=cast.vet, now=now)
    person = Person.objects.get(pk=cast.vet.pk)
    with pytest.raises(AccountCommandError):
        person_erase(person=person, now=now)
    with pytest.raises(AccountCommandError):
        person_unlock(person=person)


def test_the_list_says_who_is_there(cast: Cast, capsys: pytest.CaptureFixture[str]) -> None:
    person_lock(person=cast.vet)
    call_command("people", "list")
    line = next(x for x in capsys.readouterr().out.splitlines() if cast.vet.email in x)
    assert "locked" in line


def test_whom_the_operator_knows_is_noted_once_and_taken_back(
    cast: Cast, capsys: pytest.CaptureFixture[str]
) -> None:
    call_command("people", "known", cast.vet.email)
    first = Person.objects.get(pk=cast.vet.pk).known_at
    call_command("people", "known", cast.vet.email)
    assert first is not None
    assert Person.objects.get(pk=cast.vet.pk).known_at == first
    call_command("people", "list")
    out = capsys.readouterr().out
    assert [line.split()[0] for line in out.splitlines() if line.endswith(", known")] == [
        cast.vet.email
    ]
    call_command("people", "not-known", cast.vet.email)
    assert Person.objects.get(pk=cast.vet.pk).known_at is None
