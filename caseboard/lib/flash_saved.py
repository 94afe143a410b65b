"""Says on the next page that something was saved, and lets the phone forget what it had kept.

A form with `data-keep="KEY"` keeps its text in the phone until a page carries that key back. After
a redirect that page is another view's, so the key travels with the message it belongs to (base.html
turns it into `<meta name="kept-clear">`).

Decided 2026-11: the phone asks by the form's key whether it was saved (`/me/saved/`) before it
offers kept text.
"""

from django.contrib import messages
from django.http import HttpRequest


def saved(request: HttpRequest, words: str, *, keep: str = "") -> None:
    """`words` for the person; `keep` is the `data-keep` key of the form that was accepted."""
    messages.success(request, words, extra_tags=keep)
