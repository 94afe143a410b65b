"""Every deed of the services once, with the right it needs, so that what holds for all of them is
tested on all of them.

A deed is done by an access, with a client key where it has one, and `twist` makes the same deed
with another content.
"""

from tests import deeds_concern, deeds_plan, deeds_team, deeds_visits
from tests.deed import Deed

DEEDS: tuple[Deed, ...] = (
    *deeds_concern.DEEDS,
    *deeds_team.DEEDS,
    *deeds_plan.DEEDS,
    *deeds_visits.DEEDS,
)
BY_NAME = {deed.name: deed for deed in DEEDS}
