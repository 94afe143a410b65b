"""The kinds of jobs this app runs after the commit; importing this module registers them."""

from horses.notices import send
from horses.rules import engine
from horses.services import invitations, photos, shoes

__all__ = ["engine", "invitations", "photos", "send", "shoes"]
