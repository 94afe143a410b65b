"""Pages that belong to no case: the way in, the urgent signs, who may do what."""

from pathlib import Path

from django.contrib.staticfiles import finders
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from caseboard.lib.open_pages import open_to_all
from caseboard.policy_page import policy_sections
from caseboard.styleguide import looks as looks_page
from horses.access import THREE_AND_CARER
from horses.domain.urgent_signs import DO, DO_NOT, URGENT_SIGNS


@open_to_all
@require_safe
def home(request: HttpRequest) -> HttpResponse:
    """What this is, for somebody who is not signed in; everybody else goes to their horses."""
    if request.user.is_authenticated:
        return redirect("horses")
    return render(request, "caseboard/home.html")


@open_to_all
@require_safe
def urgent(request: HttpRequest) -> HttpResponse:
    shown = {"signs": URGENT_SIGNS, "do_not": DO_NOT, "do": DO}
    return render(request, "caseboard/urgent.html", shown)


@open_to_all
@require_safe
def policy(request: HttpRequest) -> HttpResponse:
    shown = {"roles": THREE_AND_CARER, "sections": policy_sections()}
    return render(request, "caseboard/policy.html", shown)


@open_to_all
@require_safe
def worker(request: HttpRequest) -> HttpResponse:
    """The script that keeps the urgent page in the phone.

    Served from the root, because a worker may only look after addresses beside and below its own;
    never kept by the browser, so that a change arrives.
    """
    found = finders.find("js/worker.js")
    if not isinstance(found, str):
        raise Http404("no worker")
    response = HttpResponse(Path(found).read_bytes(), content_type="text/javascript; charset=utf-8")
    response["Service-Worker-Allowed"] = "/"
    response["Cache-Control"] = "no-cache"
    return response


@open_to_all
@require_safe
def looks(request: HttpRequest) -> HttpResponse:
    """Every part of the look with invented data; routed only while developing."""
    return looks_page(request)
