"""The number of the card beside a foot is kept with the picture: looked for after it was added."""

from datetime import datetime

from horses.jobs.outbox import job_handler
from horses.models import Picture
from horses.services.pictures import CARD_SOUGHT
from measurements.queries.picture_card import card_on


@job_handler(CARD_SOUGHT)
def card_number_keep(key: str, now: datetime) -> None:
    """A picture without a card, blanked out or lost keeps none."""
    picture = Picture.objects.kept().filter(public_id=key).first()
    seen = card_on(picture) if picture else None
    if seen:
        Picture.objects.kept().filter(public_id=key).update(card_number=seen.number)
