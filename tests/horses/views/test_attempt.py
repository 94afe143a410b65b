"""What a page does with a deed that could not be done."""

from typing import NoReturn

import pytest
from django import forms
from django.http import QueryDict

from caseboard.lib.errors import Conflict
from horses.forms.keyed import KeyedForm
from horses.services.deed import DeedRefused
from horses.services.idempotency import KeyReused
from horses.views.attempt import SENT_BEFORE, attempt, attempt_button


class EmailForm(forms.Form):
    email = forms.EmailField(required=False)


def _refused(field: str | None) -> NoReturn:
    raise DeedRefused("Choose another.", field=field)


def _conflict() -> NoReturn:
    raise Conflict({"words": "mine"}, {"words": "theirs"})


@pytest.mark.parametrize(("field", "stands_at"), [("email", "email"), ("role", "__all__")])
def test_a_refusal_stands_beside_its_field_or_above_a_form_without_it(
    field: str, stands_at: str
) -> None:
    form = EmailForm({})
    answer = attempt(form, lambda: _refused(field))
    assert (answer.made, answer.status) == (None, 422)
    assert form.errors == {stands_at: ["Choose another."]}


def _sent_before() -> NoReturn:
    raise KeyReused


def test_a_form_sent_with_other_words_gets_a_key_of_its_own_and_keeps_the_words() -> None:
    form = KeyedForm(QueryDict("client_key=first"))
    answer = attempt(form, _sent_before)
    assert (answer.status, form.non_field_errors()) == (409, [SENT_BEFORE])
    assert form.data["client_key"] not in ("", "first")


def test_a_form_without_a_key_was_never_sent_before() -> None:
    with pytest.raises(KeyReused):
        attempt(EmailForm({}), _sent_before)


def test_a_button_says_why_not_whatever_field_it_is_about() -> None:
    assert attempt_button(lambda: _refused("email")) == (None, "Choose another.")


def test_a_button_that_did_it_says_nothing() -> None:
    assert attempt_button(lambda: "made") == ("made", "")


def test_a_conflict_over_a_button_is_left_to_the_page_of_conflicts() -> None:
    with pytest.raises(Conflict):
        attempt_button(_conflict)
