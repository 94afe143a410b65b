"""Taking a case along as a file, and one's own records of a case one has left."""

from django.conf import settings
from django.http import FileResponse, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from caseboard.case_reading import CaseReading
from caseboard.export.case_copy import Copy, case_copy, own_copy
from caseboard.export.zip import copy_zip
from caseboard.lib import clock
from caseboard.lib.limits import limit_check
from horses.access import access_get, require
from horses.accounts.request import SignedInRequest
from horses.accounts.views.reauthentication import fresh_access, fresh_wanted
from horses.models import Person
from horses.queries.former_members import former_get, formers_of
from horses.services.exports import case_export_note
from horses.views.page import board_url, case_page


@require_http_methods(["GET", "POST"])
def case_export(request: SignedInRequest, case_id: str) -> HttpResponse | FileResponse:
    """A page that says what it holds; the button gives the file, after a fresh code."""
    access = access_get(request.user, case_id)
    require(access, "case.export", only_look=True)
    if request.method == "GET":
        return case_page(request, access, "caseboard/export.html", {})
    doing = f"take a copy of the case of {access.horse}"
    if asked := fresh_wanted(request, doing=doing, back=board_url(access)):
        return asked
    now = clock.now()
    _limit(access.person)
    case_export_note(access=fresh_access(request, access), now=now)
    return _file(case_copy(CaseReading(access, now)), "case.json")


@require_safe
def former_cases(request: SignedInRequest) -> HttpResponse:
    """The cases that one has left or was removed from."""
    return render(request, "caseboard/former.html", {"formers": formers_of(request.user)})


@require_POST
def former_copy(request: SignedInRequest, former_id: str) -> HttpResponse | FileResponse:
    former = former_get(request.user, former_id)
    doing = f"take a copy of what you recorded on {former.case.horse}"
    if asked := fresh_wanted(request, doing=doing, back=reverse("former_cases")):
        return asked
    _limit(request.user)
    return _file(own_copy(former), "own.json")


def _limit(person: Person) -> None:
    limit_check(
        "copies",
        person.public_id,
        limit=settings.LIMIT_COPIES,
        window_s=3600,
        now=clock.now(),
        what="copies",
    )


def _file(copy: Copy, json_name: str) -> FileResponse:
    return FileResponse(
        copy_zip(copy, json_name=json_name),
        as_attachment=True,
        filename=f"{copy.name}.zip",
        content_type="application/zip",
    )
