"""A deed of the services, as the tests that hold for every deed do it."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from horses.access import CaseAccess
from tests.stage import Stage

Do = Callable[[Stage, CaseAccess, dict[str, Any], bool], Any]


@dataclass(frozen=True)
class Deed:
    name: str
    action: str  # the row of the policy it asks for
    verb: str  # the history line it leaves
    do: Do
    keyed: bool = False
    tells: bool = False  # whether the others get a notice

    def __call__(
        self,
        stage: Stage,
        access: CaseAccess,
        now: datetime,
        *,
        key: str = "",
        twist: bool = False,
    ) -> Any:
        shared: dict[str, Any] = {"access": access, "now": now}
        if self.keyed:
            shared["client_key"] = key
        return self.do(stage, access, shared, twist)


def today(shared: dict[str, Any]) -> date:
    found: date = shared["now"].date()
    return found
