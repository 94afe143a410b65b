"""What the form of an answer says about the quiet that it brings."""

from types import SimpleNamespace
from typing import Any

import pytest

from horses.models import Alert, Role
from horses.presenters.alert_words import asked_words

STAYS = "It is a danger: it stays for you as well until a vet has answered."
OTHERS = "The others answer for themselves."


@pytest.mark.parametrize(
    ("role", "danger", "said"),
    [
        (Role.FARRIER, True, STAYS),
        (Role.OWNER, True, STAYS),
        (Role.VET, True, OTHERS),
        (Role.FARRIER, False, OTHERS),
    ],
)
def test_only_a_vets_answer_is_said_to_quiet_a_danger(role: Role, danger: bool, said: str) -> None:
    access: Any = SimpleNamespace(role=role, stand_in=False)
    words = asked_words(access, Alert(danger=danger, severity=3.0), planned=True)
    assert words.startswith("The next planned visit.")
    assert words.endswith(said)
