"""The kinds of work this app does after the commit; importing this module registers them."""

from horses import judge, notice_mail
from horses.services import invitations, photos, shoes

__all__ = ["invitations", "judge", "notice_mail", "photos", "shoes"]
