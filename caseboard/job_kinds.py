"""The kinds of jobs of the site itself; importing this module registers them."""

from caseboard.sheets import job

__all__ = ["job"]
