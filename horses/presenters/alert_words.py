"""The words on an alert's page and card about its life: since when, for whom it is quiet, until when."""

from datetime import date

from django.utils import timezone

from horses.access import CaseAccess
from horses.domain.wording import day_words
from horses.models import Alert, AlertResponse, Role

# A rule that reads numbers may date a finding back; it became certain only with the last number.
BY_NUMBERS = ("foot.", "band.", "shape.")


def since_words(alert: Alert) -> str:
    """When it was raised, and since when it has been so, where that is not the same day."""
    raised = timezone.localtime(alert.raised_at)
    since = timezone.localtime(alert.true_since)
    if since.date() >= raised.date():
        return f"First raised on {day_words(raised)}, {raised:%H:%M}."
    if alert.rule.startswith(BY_NUMBERS):
        return (
            f"It became certain on {day_words(raised)}. Looking back, it has been so since about "
            f"{day_words(since)}."
        )
    return f"First raised on {day_words(raised)}, {raised:%H:%M}; so since {day_words(since)}."


def whose_quiet(access: CaseAccess) -> str:
    return "you" if access.stand_in else f"the {access.role}"


def asked_words(access: CaseAccess, alert: Alert, *, planned: bool) -> str:
    """What the day in the answer's form means: for whom, and what brings the alert back before."""
    start = "The next planned visit" if planned else "No visit is planned: four weeks from now"
    sooner = "" if alert.severity is None else ", or until it is clearly worse"
    others = "The others answer for themselves."
    if alert.danger and access.role != Role.VET:
        others = "It is a danger: it stays for you as well until a vet has answered."
    return (
        f"{start}. To the end of that day it is quiet for {whose_quiet(access)}{sooner}. {others}"
    )


def quiet_words(access: CaseAccess, answers: list[AlertResponse], until_on: date | None) -> str:
    """For whom and how long it is quiet now."""
    if not answers:
        return f"Seen: quiet for you until the end of {day_words(until_on)}." if until_on else ""
    end = f"the end of {day_words(until_on)}" if until_on else "the next visit"
    return f"Quiet for {whose_quiet(access)} until {end}, unless it is clearly worse before."
