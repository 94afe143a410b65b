"""The table of mutants, from the pages of its subjects."""

from tests.mutants.hoof import HOOF
from tests.mutants.row import Mutant
from tests.mutants.services import SERVICES

TABLE: tuple[Mutant, ...] = (*HOOF, *SERVICES)
