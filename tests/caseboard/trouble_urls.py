"""A few small pages, to see what happens round every page (used as ROOT_URLCONF by tests)."""

from django.core.exceptions import PermissionDenied
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import include, path

from caseboard.lib.errors import Conflict, TooMany
from caseboard.lib.logging.request_id import request_id
from caseboard.lib.open_pages import open_to_all
from caseboard.urls import (  # noqa: F401
    handler400,
    handler403,
    handler404,
    handler500,
)
from caseboard.urls import (
    urlpatterns as site,
)


def closed(request: HttpRequest) -> HttpResponse:
    return HttpResponse(request_id())


@open_to_all
def wide_open(request: HttpRequest) -> HttpResponse:
    return HttpResponse("for all")


@open_to_all
def takes_text(request: HttpRequest) -> HttpResponse:
    return HttpResponse(request.POST.get("words", ""))


def conflict(request: HttpRequest) -> HttpResponse:
    raise Conflict(
        {"text": "my <b>words</b>"}, {"text": "their words"}, who="Robin", path="/closed/"
    )


def too_many(request: HttpRequest) -> HttpResponse:
    raise TooMany(42)


def not_here(request: HttpRequest) -> HttpResponse:
    raise Http404("no such case")


def not_allowed(request: HttpRequest) -> HttpResponse:
    raise PermissionDenied("That is for the vet of this case.")


def broken(request: HttpRequest) -> HttpResponse:
    raise RuntimeError("she bites")


def plain_page(request: HttpRequest) -> HttpResponse:
    return render(request, "trouble.html")


urlpatterns = [
    path("closed/", closed),
    path("wide-open/", wide_open),
    path("takes-text/", takes_text),
    path("conflict/", conflict),
    path("too-many/", too_many),
    path("not-here/", not_here),
    path("not-allowed/", not_allowed),
    path("broken/", broken),
    path("plain-page/", plain_page),
    path("", include(site)),
]
