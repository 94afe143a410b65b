"""A bell that several threads hear, each by an event of its own."""

import threading


class Bell:
    """Rung when a transaction that wrote work has been committed. Each worker hears it by an event
    of its own: with one for all, a worker that begins a round would take it from the others."""

    def __init__(self) -> None:
        self._events: list[threading.Event] = []

    def hear(self) -> threading.Event:
        event = threading.Event()
        self._events.append(event)
        return event

    def leave(self, event: threading.Event) -> None:
        self._events.remove(event)

    def set(self) -> None:
        for event in list(self._events):
            event.set()
