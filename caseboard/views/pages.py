"""Pages that belong to no case: the way in, the urgent signs, who may do what."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from caseboard.kept.worker_script import worker_script
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
    """The script that keeps the urgent page and a person's own pages in the phone.

    Served from the root, because a worker may only look after addresses beside and below its own;
    never kept by the browser, so that a change arrives.
    """
    response = HttpResponse(worker_script(), content_type="text/javascript; charset=utf-8")
    response["Service-Worker-Allowed"] = "/"
    response["Cache-Control"] = "no-cache"
    return response


@open_to_all
@require_safe
def looks(request: HttpRequest) -> HttpResponse:
    """Every part of the look with invented data; routed only while developing."""
    return looks_page(request)
