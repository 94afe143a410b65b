"""The table of mutants, from the pages of its subjects."""

from tests.mutants.hoof import HOOF
from tests.mutants.importing import IMPORTING
from tests.mutants.jobs import JOBS
from tests.mutants.ledger import LEDGER
from tests.mutants.queries import QUERIES
from tests.mutants.row import Mutant
from tests.mutants.services import SERVICES

TABLE: tuple[Mutant, ...] = (*HOOF, *IMPORTING, *JOBS, *LEDGER, *QUERIES, *SERVICES)
