"""Loads the demo: a small invented riding school with a horse in every state."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime

from django.db import transaction

from caseboard.demo.days import Days
from caseboard.demo.looks import play_looks
from caseboard.demo.past import past_settle
from caseboard.demo.people import WHO, People, people_make
from caseboard.demo.rhythm import play_rhythm
from caseboard.demo.story_basalt import play_basalt
from caseboard.demo.story_hazel import play_hazel
from caseboard.demo.story_juno import play_juno
from caseboard.demo.story_linnet import play_linnet
from caseboard.demo.story_marigold import play_marigold
from caseboard.demo.story_quiet import play_dusk, play_pebble, play_tansy
from caseboard.demo.story_waiting import play_fennel, play_otter
from caseboard.demo.story_word import play_rowan, play_sedge
from caseboard.demo.story_yard import play_yard
from horses.jobs.outbox import jobs_run_due
from horses.models import Horse, Person
from horses.rules.engine import evaluate

STORIES: dict[str, tuple[Callable[[Days, People], None], str]] = {
    "Pebble": (play_pebble, "barefoot routine, nothing found"),
    "Hazel": (play_hazel, "slow change in the left fore that nobody noticed"),
    "Basalt": (play_basalt, "upright right fore, uneven pair, plan agreed by all"),
    "Marigold": (play_marigold, "long toe, low heel; a plan half agreed; two vets"),
    "Fennel": (play_fennel, "lost a shoe today"),
    "Tansy": (play_tansy, "this year's foal"),
    "Otter": (play_otter, "two visits that did not take place, and a flag unanswered"),
    "Juno": (play_juno, "closed concern: nail in the foot, sound again"),
    "Linnet": (play_linnet, "first films: thin soles, a bone below level; a sudden jump"),
    "Rowan": (play_rowan, "a visit that the groom reported, waiting for the farrier's word"),
    "Sedge": (play_sedge, "a farrier's own customer, whose owner has no account"),
    "Dusk": (play_dusk, "paused, resting at grass"),
}


@dataclass(frozen=True)
class DemoPerson:
    name: str
    role: str  # in words
    email: str


@dataclass(frozen=True)
class DemoHorse:
    name: str
    story: str  # in words


@dataclass(frozen=True)
class DemoSummary:
    people: tuple[DemoPerson, ...]
    horses: tuple[DemoHorse, ...]


def summary() -> DemoSummary:
    """Who can sign in and which horses there are, for a demo loaded now or before."""
    return DemoSummary(
        people=tuple(DemoPerson(who.name, who.role, who.email) for who in WHO.values()),
        horses=tuple(DemoHorse(name, story) for name, (_, story) in STORIES.items()),
    )


class DatabaseInUse(Exception):
    """The demo is never mixed with people's own records."""


def load(now: datetime) -> DemoSummary:
    """Plays all stories up to `now` into an empty database, all of them or none.

    Raises DatabaseInUse when there is anybody in it.
    """
    with transaction.atomic():
        if Person.objects.exists():
            raise DatabaseInUse(
                "The demo needs an empty database, and there are people in this one."
            )
        people = people_make(now)
        for play, _ in STORIES.values():
            play(Days(now), people)
        play_rhythm(Days(now), people)
        play_looks(people)
        play_yard(people)
        for horse in Horse.objects.order_by("pk"):
            evaluate(horse, now=now)
        past_settle(people.all(), now=now)
    while jobs_run_due(now=now):
        pass
    return summary()
