"""How the tests of quiet alerts ask who sees one, and answer it."""

from datetime import date, datetime, timedelta

from horses.models import Alert, Notice
from horses.queries.alerts import Matter, board_alerts
from horses.queries.herd import NEEDS_SOMEONE, herd_for
from horses.rules.engine import Finding
from horses.services.alerts import alert_answer
from tests.cast import Cast

DAY = timedelta(days=1)
ROLES = ("owner", "vet", "farrier", "stand_in", "carer")
DRIFT = Finding(
    "foot.drift", "LF", "Slow change", "It fell.", cause="LF:angles", severity=3.0, severity_sd=0.5
)
SOLE = Finding(
    "shape.thin_sole", "RF", "Thin sole", "7 mm.", danger=True, severity=8.0, severity_sd=1.0
)


def cards(cast: Cast, who: str, at: datetime, *, concern: bool = False) -> list[Matter]:
    access = cast.access(getattr(cast, who), cast.concern if concern else cast.case)
    return board_alerts(access, today=at.date()).needs


def open_for(cast: Cast, at: datetime) -> set[str]:
    """Those whose board shows it; the list must say the same of each."""
    shown = {who for who in ROLES if cards(cast, who, at)}
    for who in ROLES:
        [line] = herd_for(getattr(cast, who), today=at.date())
        both = {m.lead.matter for c in (False, True) for m in cards(cast, who, at, concern=c)}
        assert set(line.matters) == both
        assert (line.rank in NEEDS_SOMEONE) == bool(both)
    return shown


def answer(
    cast: Cast, who: str, at: datetime, until: date | None = None, rule: str = "foot.drift"
) -> None:
    alert = Alert.objects.get(rule=rule, cleared_at=None)
    alert_answer(
        access=cast.access(getattr(cast, who)),
        alert_id=alert.public_id,
        words="I know.",
        until_on=until,
        now=at,
    )


def told(verb: str) -> list[str]:
    notices = Notice.objects.filter(verb=verb, channel="app").select_related("person")
    return sorted(str(notice.person) for notice in notices)
