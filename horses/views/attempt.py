"""A form's deed, tried: what stops it stands on the form, beside its field, with all that was typed."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Generic, TypeVar

from django import forms

from caseboard.lib.errors import Conflict
from horses.forms.keyed import KeyedForm
from horses.forms.versioned import VersionedForm
from horses.services.deed import DeedRefused
from horses.services.idempotency import KeyReused

T = TypeVar("T")
SENT_BEFORE = (
    "This form was sent before with other words, and those were saved. Look at the board first; to "
    "save this as well, send it once more."
)


@dataclass(frozen=True)
class Answer(Generic[T]):
    """What the deed made, or None with the status that says why not and both texts of a conflict."""

    made: T | None
    status: int = 200
    conflict: Conflict | None = None


def attempt(form: forms.Form, do: Callable[[], T], *, sent_before: str = SENT_BEFORE) -> Answer[T]:
    """Refused: 422. Sent before with other words (the form gets a key of its own, and `sent_before`
    says so) or changed by somebody else meanwhile (saving again is then on purpose): 409."""
    try:
        return Answer(do())
    except DeedRefused as refused:
        form.add_error(refused.field if refused.field in form.fields else None, str(refused))
        return Answer(None, 422)
    except KeyReused:
        if not isinstance(form, KeyedForm):
            raise
        form.renew_key()
        form.add_error(None, sent_before)
        return Answer(None, 409)
    except Conflict as conflict:
        if isinstance(form, VersionedForm):
            form.see(conflict.version)
        return Answer(None, 409, conflict)


def attempt_button(do: Callable[[], T]) -> tuple[T | None, str]:
    """A button's deed, which has no form to stand on: what it made, or the words why not."""
    button = forms.Form({})
    answer = attempt(button, do)
    if answer.conflict is not None:
        raise answer.conflict
    return answer.made, " ".join(map(str, button.non_field_errors()))
