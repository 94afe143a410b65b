"""The groom's looks over the yard in the last days: together, and one horse alone."""

from caseboard.demo.days import Days
from caseboard.demo.people import People
from horses.queries.looks import accesses_of
from horses.services.looks import looks_mark


def play_looks(days: Days, people: People) -> None:
    yard = [a for a in accesses_of(people.groom) if a.case.opened_at < days.back(2, "07:00")]
    looks_mark(accesses=yard, now=days.back(2, "07:05"))
    looks_mark(accesses=yard, now=days.back(1, "07:10"))
    alone = [access for access in yard if access.horse.name == "Hazel"]
    looks_mark(accesses=alone, now=days.back(1, "16:30"))
