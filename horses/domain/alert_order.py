"""Which alert stands for those of its matter. Pure."""

from datetime import datetime

from horses.models import Alert


def lead_order(alert: Alert) -> tuple[bool, bool, datetime, int]:
    """Which of the alerts of one matter gives it its name."""
    return not alert.danger, alert.rule.startswith("forecast."), alert.raised_at, alert.pk
