"""The table of mutants, from the pages of its subjects."""

from tests.mutants.domain import DOMAIN
from tests.mutants.doors import DOORS
from tests.mutants.hoof_drift import HOOF_DRIFT
from tests.mutants.hoof_numbers import HOOF_NUMBERS
from tests.mutants.hoof_pictures import HOOF_PICTURES
from tests.mutants.importing import IMPORTING
from tests.mutants.jobs import JOBS
from tests.mutants.ledger import LEDGER
from tests.mutants.notices import NOTICES
from tests.mutants.phone import PHONE
from tests.mutants.pictures import OF_PICTURES
from tests.mutants.points import POINTS
from tests.mutants.queries import QUERIES
from tests.mutants.row import Mutant
from tests.mutants.rules import RULES
from tests.mutants.services import SERVICES
from tests.mutants.shown import SHOWN

TABLE: tuple[Mutant, ...] = (
    *DOMAIN,
    *DOORS,
    *HOOF_DRIFT,
    *HOOF_NUMBERS,
    *HOOF_PICTURES,
    *IMPORTING,
    *JOBS,
    *LEDGER,
    *NOTICES,
    *PHONE,
    *OF_PICTURES,
    *POINTS,
    *QUERIES,
    *RULES,
    *SERVICES,
    *SHOWN,
)
