"""What somebody is mailed is theirs to choose, and an address in a mail can take it back."""

from datetime import datetime, time

from django.db import transaction

from horses.access import cases_for
from horses.models import CaseMute, Person
from horses.notices.messages import unsubscribe_whose


@transaction.atomic
def notice_choices_save(
    *,
    person: Person,
    mail_when: str,
    quiet_from: time | None,
    quiet_to: time | None,
    muted: set[str],
    now: datetime,
) -> None:
    """Saves all choices of one page. Boards that the person is not on are left alone."""
    row = Person.objects.select_for_update(no_key=True).get(pk=person.pk)
    row.mail_when, row.quiet_from, row.quiet_to = mail_when, quiet_from, quiet_to
    row.save(update_fields=["mail_when", "quiet_from", "quiet_to"])
    mine = list(cases_for(person))
    CaseMute.objects.filter(
        person=person, case__in=[c.pk for c in mine if c.public_id not in muted]
    ).delete()
    for case in mine:
        if case.public_id in muted:
            CaseMute.objects.get_or_create(person=person, case=case, defaults={"muted_at": now})


@transaction.atomic
def mail_unsubscribe(*, token: str) -> bool:
    """From now on only what is urgent, for whoever the address was made for."""
    whose = unsubscribe_whose(token)
    if whose is None:
        return False
    return bool(Person.objects.filter(public_id=whose).update(mail_when=Person.MailWhen.URGENT))
