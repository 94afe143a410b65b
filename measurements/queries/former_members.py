"""The numbers that one person recorded themself on a case they are no longer on."""

from collections.abc import Iterable

from django.db.models import Model

from horses.queries.former_members import Former
from measurements.models import Reading, Target
from measurements.queries.points_kept import own_points


def own_numbers(former: Former) -> dict[str, Iterable[Model]]:
    readings = Reading.objects.filter(
        former.then("recorded_at"), horse=former.case.horse, recorded_by=former.person
    )
    targets = Target.objects.filter(
        former.then("set_at"), horse=former.case.horse, set_by=former.person
    )
    return {
        "readings": readings.select_related("visit", "corrects", "taken_by").order_by("pk"),
        "points_on_pictures": own_points(former),
        "targets": targets.select_related("plan_version").order_by("pk"),
    }
