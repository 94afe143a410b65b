"""The groom's looks over the yard: together, and one horse alone."""

from datetime import timedelta

from caseboard.demo.people import People
from horses.models import HistoryLine
from horses.queries.looks import accesses_of
from horses.services.looks import looks_mark


def play_looks(people: People) -> None:
    """At the moment of the newest line, so that no history goes back in time."""
    at = HistoryLine.objects.latest("at").at
    yard = [access for access in accesses_of(people.groom) if access.case.opened_at < at]
    looks_mark(accesses=yard, now=at)
    alone = [access for access in yard if access.horse.name == "Hazel"]
    looks_mark(accesses=alone, now=at + timedelta(minutes=1))
