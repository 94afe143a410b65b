"""Alerts: the engine, the rules of the calendar and of unanswered things, the life of an alert."""
