"""The site's addresses and one more: a view that does nothing, behind the same middleware."""

from django.http import HttpRequest, HttpResponse
from django.urls import include, path


def bare(request: HttpRequest) -> HttpResponse:
    return HttpResponse("ok")


urlpatterns = [path("bare/", bare), path("", include("caseboard.urls"))]
