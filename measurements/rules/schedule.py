"""What the calendar says of the numbers: nothing measured for long, a forecast date come near."""

from collections.abc import Iterator
from datetime import date, datetime, timedelta
from typing import Any

from caseboard.lib.spans import counted
from horses.domain.severity import CALENDAR_WORSE_DAYS, days_sd
from horses.models import Alert, Case, Horse, Visit
from horses.rules.engine import Finding, follows, foresees, rule
from horses.rules.schedule import day_start, tomorrow
from measurements.models import Reading
from measurements.queries.numbers import bands_in_force
from measurements.wording import foot_quantity, full_day_words

SILENT_AFTER = timedelta(weeks=10)  # house default: one usual interval and a half without a number
FORECAST_NEAR = timedelta(days=21)  # house default: time to make an appointment before the date
FORECASTING = ("band.moving", "foot.drift", "foot.step")


def _last_measured_on(horse: Horse) -> date | None:
    readings = Reading.objects.filter(horse=horse, is_void=False, corrected_by=None)
    return readings.order_by("-taken_on").values_list("taken_on", flat=True).first()


@rule
def silence(horse: Horse, now: datetime) -> Iterator[Finding]:
    """A horse that was measured, and has not been for long. One never measured is not silent."""
    last = _last_measured_on(horse)
    if last is None or now < (due := day_start(last + SILENT_AFTER, now)):
        return
    weeks = (now.date() - last).days // 7
    yield Finding(
        rule="readings.silence",
        subject="readings",
        case=Case.objects.filter(horse=horse, kind=Case.Kind.ROUTINE).first(),
        title="Nothing measured for long",
        sentence=f"Nothing has been measured for {counted(weeks, 'week')}, since {full_day_words(last)}. A slow "
        "change would not be seen.",
        evidence={"last_taken_on": str(last), "weeks": weeks},
        true_since=due,
        severity=(now.date() - last).days,
        severity_sd=days_sd(CALENDAR_WORSE_DAYS),
    )


@foresees
def silence_moments(horse: Horse, now: datetime) -> Iterator[datetime]:
    last = _last_measured_on(horse)
    if last is None:
        return
    due = day_start(last + SILENT_AFTER, now)
    while due <= now:  # the sentence counts weeks
        due += timedelta(weeks=1)
    yield due


def forecast_dates(evidence: dict[str, Any]) -> list[tuple[date, str]]:
    """The first day, in words about what, on which a band may be left, from an alert's numbers."""
    found = []
    if earliest := evidence.get("leaves_earliest_on"):
        found.append((earliest, foot_quantity(evidence["foot"], evidence["quantity"])))
    for forecast in evidence.get("forecasts") or ():
        if forecast.get("earliest_on"):
            words = foot_quantity(evidence.get("foot", ""), forecast["quantity"])
            found.append((forecast["earliest_on"], words))
    return [(date.fromisoformat(day), words) for day, words in found]


def _forecasts(horse: Horse) -> Iterator[tuple[Alert, date, str]]:
    for alert in Alert.objects.filter(horse=horse, cleared_at=None, rule__in=FORECASTING):
        evidence = {"foot": alert.subject.split(":")[0], **(alert.now_evidence or alert.evidence)}
        dates = forecast_dates(evidence)
        if dates:
            yield alert, *min(dates)


@follows("forecast.near")
def forecast_near(horse: Horse, now: datetime) -> Iterator[Finding]:
    """The first possible date of a forecast has come near, and no visit is planned before it. Of one
    cause with the change it was worked out from."""
    today = now.date()
    ahead = Visit.objects.planned().filter(horse=horse, planned_on__gte=today)
    planned = ahead.order_by("planned_on").values_list("planned_on", flat=True).first()
    for alert, day, words in _forecasts(horse):
        near = day_start(day - FORECAST_NEAR, now)
        # A day that is past cannot be met any more; a visit within three weeks is soon enough.
        enough = day if day > today else today + FORECAST_NEAR
        if now < near or (planned is not None and planned <= enough):
            continue
        yield Finding(
            rule="forecast.near",
            subject=alert.subject,
            case=alert.case,
            title="A forecast date comes near" if day > today else "A forecast date has come",
            sentence=_forecast_words(words, day, planned, today),
            evidence={"alert": alert.public_id, "earliest_on": str(day)},
            true_since=near,
            cause=alert.matter,
            severity=(today - day).days,
            severity_sd=days_sd(CALENDAR_WORSE_DAYS),
        )


def _forecast_words(words: str, day: date, planned: date | None, today: date) -> str:
    """Never asks for a visit before a day that is past."""
    visit = f"The next visit is planned for {full_day_words(planned)}" if planned else ""
    if day > today:
        return (
            f"If it goes on as it did, the {words} may leave its band from {full_day_words(day)} "
            f"on. {f'{visit}, after that day' if visit else 'No visit is planned before then'}."
        )
    since = "today" if day == today else full_day_words(day)
    return (
        f"If it went on as it did, the {words} may be outside its band since {since}: measure "
        f"it. {f'{visit}: is that soon enough?' if visit else 'No visit is planned.'}"
    )


@foresees
def forecast_moments(horse: Horse, now: datetime) -> Iterator[datetime]:
    for _, day, _ in _forecasts(horse):
        near = day_start(day - FORECAST_NEAR, now)
        yield near if near > now else tomorrow(now)


@foresees
def band_moments(horse: Horse, now: datetime) -> Iterator[datetime]:
    """When a band that was set ahead begins to hold: what lies outside of it is said that day."""
    for band in bands_in_force(horse):
        begins = day_start(band.from_on, now)
        if begins > now:
            yield begins
