"""The kinds of jobs this app runs after the commit; importing this module registers them."""

from measurements.services import picture_card

__all__ = ["picture_card"]
