"""The series of one hand at one place: what can tell how that hand measures and the trims vary.

A place is what people wrote as a horse's yard, spaces and capitals aside. Only readings that belong to
an account count, and only with the hand that measures: two places of one name share nothing unless one
person measures at both.
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from horses.models import Horse
from horses.queries.places import place_key
from measurements.hoof.drift.arrays import source_label
from measurements.hoof.series import SeriesReading
from measurements.models import Reading
from measurements.queries.numbers import Numbers, numbers_of


@dataclass(frozen=True)
class YardHand:
    """Who measures a foot most, and how: an account (`by`, its key) at a place (its key)."""

    place: str
    by: str
    method: str
    quantity: str


def yard_hand(numbers: Numbers, foot: str, quantity: str) -> YardHand | None:
    """The account that measured this foot most; `None` without a place or an account."""
    place = place_key(numbers.horse)
    counts = Counter(
        (row.by, row.method)
        for row in numbers.readings.get((foot, quantity), [])
        if row.by is not None
    )
    if not place or not counts:
        return None
    by, method = min(counts, key=lambda hand: (-counts[hand], hand))
    return YardHand(place, by, method, quantity)


def yard_series(hand: YardHand, *, today: date) -> list[list[SeriesReading]]:
    """What the hand has measured on every foot of every horse of the place."""
    return [rows for horse in _measured_by(hand) for rows in _series_of(horse, hand, today)]


def _measured_by(hand: YardHand) -> list[Horse]:
    rows = Reading.objects.filter(
        quantity=hand.quantity,
        method=hand.method,
        taken_by__public_id=hand.by,
        corrected_by=None,
        is_void=False,
    )
    horses = Horse.objects.filter(pk__in=rows.values("horse")).exclude(yard="").order_by("pk")
    return [horse for horse in horses if place_key(horse) == hand.place]


def _series_of(horse: Horse, hand: YardHand, today: date) -> Iterator[list[SeriesReading]]:
    numbers = numbers_of(horse, today=today)
    label = f"{hand.method}\0{hand.by}"
    for foot, quantity in numbers.readings:
        if quantity == hand.quantity:
            rows = [r for r in numbers.series(foot, quantity) if source_label(r) == label]
            if rows:
                yield rows
