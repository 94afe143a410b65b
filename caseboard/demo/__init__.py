"""The invented riding school that `manage.py demo` shows."""

from caseboard.demo.loading import DatabaseInUse, DemoHorse, DemoPerson, DemoSummary, load, summary

__all__ = ["DatabaseInUse", "DemoHorse", "DemoPerson", "DemoSummary", "load", "summary"]
