"""How well two people agree who placed points on the same pictures without seeing each other's."""

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass

from horses.access import CaseAccess
from measurements.hoof.pictures.agreement import Agreement, agreement
from measurements.hoof.pictures.measured import Measured
from measurements.hoof.points import VIEWS
from measurements.models import PicturePoints
from measurements.queries.picture_points import points_seen, values_of


@dataclass(frozen=True)
class PairAgrees:
    """Two people on one value over all pictures that both placed: the first reads `bias` higher."""

    first_name: str
    second_name: str
    key: str
    of: Agreement


def pairs_agree(access: CaseAccess, view: str, person_id: int) -> list[PairAgrees]:
    """This person with everybody else who placed the same pictures of the view, value by value, the
    one they share most pictures with first."""
    rows = [row for row in points_seen(access, view) if row.blind]
    shared = {row.picture_id for row in rows if row.placed_by_id == person_id}
    first_ones = _first_of_each([row for row in rows if row.picture_id in shared])
    names = {row.placed_by_id: row.placed_by_name for row in rows}
    values = {place: values_of(row) for place, row in first_ones.items()}
    others = {who for _, who in first_ones} - {person_id}
    found = []
    for other in others:
        together = [p for p in shared if (p, other) in values and (p, person_id) in values]
        for key in VIEWS[view].values:
            pairs, sds = [], []
            for picture in together:
                one, two = values[picture, person_id].get(key), values[picture, other].get(key)
                if isinstance(one, Measured) and isinstance(two, Measured):
                    pairs.append((one.value, two.value))
                    sds.append(max(one.sd, two.sd))
            of = agreement(pairs, max(sds), max(sds)) if pairs else None
            if of is not None:
                found.append(PairAgrees(names[person_id], names[other], key, of))
    return sorted(found, key=lambda pair: -pair.of.bias.days)


def _first_of_each(rows: list[PicturePoints]) -> Mapping[tuple[int, int], PicturePoints]:
    """By picture and person, what each placed first: later ones know the picture."""
    found: dict[tuple[int, int], PicturePoints] = defaultdict()
    for row in rows:
        found.setdefault((row.picture_id, row.placed_by_id), row)
    return found
