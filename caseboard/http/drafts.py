"""What a phone kept and sends by script: accepted once, by whom it belongs to, with an answer that a
script can read.

    X-Draft-Key      the draft's own key: marks the request as one of these
    X-Draft-Person   whose draft it is
    X-Draft-Age      seconds since it was written
    X-Draft-Later    the phone sends by itself: nobody stands before the page
    X-Draft-Bytes    what its files weigh together: a line that breaks in the midst of a form may leave
                     one that reads as whole, with a file less, and the key would stand for that

The answer carries `X-Draft-Answer` with the key, so that the page of a hotspot, which answers to
everything, is not taken for ours. What was accepted is answered with JSON ({"to", "said"}), all else with the
page that a person would see.

Decided 2026-11-29: the whole request is one transaction with the key's row in it, so that "accepted"
and "saved" cannot differ after a kill between them. Forms with files are left out of it: reading
photos takes a second, in which nobody else could write to SQLite; each of them has a form key.
Last in the list of middleware: what is refused before the view never takes the key.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.contrib.messages.storage.base import Message
from django.db import DatabaseError, transaction
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render

from caseboard.http.middleware import DRAFT_KEY
from caseboard.http.not_saved import is_refused_write, not_saved_page
from caseboard.lib import clock
from caseboard.lib.written import written_before, written_bound
from horses.services.drafts import (
    LONGEST_KEY,
    DraftChanged,
    draft_accepted,
    draft_claim,
    draft_not_accepted,
)

ANSWER = "X-Draft-Answer"
PERSON, AGE, LATER = "X-Draft-Person", "X-Draft-Age", "X-Draft-Later"
BYTES = "X-Draft-Bytes"
WITH_FILES = "multipart/form-data"


@dataclass
class Draft:
    """One draft on its way in. `reached`: nothing before the view refused it."""

    key: str
    person: str
    later: bool
    with_files: bool
    reached: bool = False
    claimed: bool = False


class DraftMiddleware:
    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        draft = _draft_of(request)
        if draft is None:
            return self.get_response(request)
        request.draft = draft  # type: ignore[attr-defined]  # read again in `process_view`
        age = request.headers.get(AGE, "")
        with written_bound(written_before(age, now=clock.now())):
            if draft.with_files:
                return _answer(request, self.get_response(request), draft)
            try:
                with transaction.atomic():
                    return _answer(request, self.get_response(request), draft)
            except DatabaseError as error:
                if not is_refused_write(error):
                    raise
                return not_saved_page(request, error)

    def process_view(
        self, request: HttpRequest, _view: Any, _args: Any, kwargs: dict[str, Any]
    ) -> HttpResponse | None:
        draft: Draft | None = getattr(request, "draft", None)
        if draft is None or not request.user.is_authenticated:
            return None
        if draft.person != request.user.public_id:
            return JsonResponse({"other_person": True}, status=409)
        if not _is_whole(request):
            return HttpResponse(status=400)  # who sent it is not there any more, and sends it again
        draft.reached = True
        if draft.with_files:
            return None
        try:
            earlier = draft_claim(
                request.user,
                draft.key,
                path=request.path,
                content=dict(request.POST.lists()),
                now=clock.now(),
            )
        except DraftChanged:
            return render(request, "caseboard/draft_changed.html", status=409)
        if earlier is not None:
            return JsonResponse(earlier.as_answer())
        draft.claimed = True
        return None


def _draft_of(request: HttpRequest) -> Draft | None:
    key = request.headers.get(DRAFT_KEY, "")
    if request.method != "POST" or not key or len(key) > LONGEST_KEY or not key.isascii():
        return None
    return Draft(
        key=key,
        person=request.headers.get(PERSON, ""),
        later=LATER in request.headers,
        with_files=(request.content_type or "").startswith(WITH_FILES),
    )


def _is_whole(request: HttpRequest) -> bool:
    """Whether all has come that was sent; an earlier script does not say how much its files weigh.

    A server that hands a body on as it comes (gunicorn) ends it where the line broke.
    """
    if not (request.content_type or "").startswith(WITH_FILES):
        return len(request.body) >= int(request.META.get("CONTENT_LENGTH") or 0)
    said = request.headers.get(BYTES, "")
    if not said.isdigit():
        return True
    came = sum(one.size or 0 for _, several in request.FILES.lists() for one in several)
    return came == int(said)


def _answer(request: HttpRequest, response: HttpResponse, draft: Draft) -> HttpResponse:
    """The view's answer, readable for the script; the key stays taken when it was accepted."""
    if draft.reached:
        response = _accepted_or_not(request, response, draft)
    elif 300 <= response.status_code < 400:
        # Asks for something first: the name, say. The script says so, and the draft waits.
        response = JsonResponse({"first": response["Location"]}, status=409)
    # Before the view: signed out, another person's, too many, an old form. The script reads the status.
    response[ANSWER] = draft.key if draft.reached else f"not reached {draft.key}"
    return response


def _accepted_or_not(request: HttpRequest, response: HttpResponse, draft: Draft) -> HttpResponse:
    if response.get("Content-Type") == "application/json":
        return response  # answered by its key
    sends_on = 300 <= response.status_code < 400 and "Location" in response
    said, refused = _said(request) if sends_on else ([], [])
    accepted = sends_on and (bool(said) or not refused)
    files_to = getattr(request, "draft_files_to", "")
    if response.status_code >= 500 and not draft.with_files:
        # Saved, and then a fault: neither the one nor the key may stand, it comes again.
        transaction.set_rollback(True)
    elif draft.claimed and request.user.is_authenticated:
        if accepted:
            draft_accepted(request.user, draft.key, response["Location"], files_to)
        else:
            draft_not_accepted(request.user, draft.key)
    if not sends_on:
        return response
    if draft.later:
        _forget_said(request)
    told: dict[str, Any] = {"to": response["Location"], "said": said + refused}
    if not accepted:
        told["refused"] = True
    if files_to:
        told["files_to"] = files_to
    answer = JsonResponse(told)
    for name, cookie in response.cookies.items():
        answer.cookies[name] = cookie
    return answer


def _said(request: HttpRequest) -> tuple[list[str], list[str]]:
    """The words for the next page: what was done, and what was refused."""
    queued = _queued(request)
    refused = [str(one) for one in queued if one.level >= messages.WARNING]
    return [str(one) for one in queued if one.level < messages.WARNING], refused


def _forget_said(request: HttpRequest) -> None:
    """The phone tells it where its drafts are listed, not on whatever page is opened next."""
    _queued(request).clear()


def _queued(request: HttpRequest) -> list[Message]:
    """What this request says, apart from what an earlier one left unread: the library has no public
    name for that."""
    queued: list[Message] = getattr(messages.get_messages(request), "_queued_messages", [])
    return queued
