"""Chooses the alert that gives a card its title, when one cause has several. Pure."""

from datetime import datetime

from horses.models import Alert


def lead_order(alert: Alert) -> tuple[bool, bool, datetime, int]:
    """Sort key: the first in this order gives the card its title."""
    return not alert.danger, alert.rule.startswith("forecast."), alert.raised_at, alert.pk
