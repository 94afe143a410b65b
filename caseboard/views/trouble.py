"""The pages that say something went wrong, each with its status.

They hold nothing that differs from one request to the next (no token, no address), so that "not
here" and "not for you to know" are the same bytes.
"""

import sys

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template import loader

from caseboard.http.not_saved import away_page, is_refused_write
from caseboard.lib.logging.fields import logger
from horses.access import CaseClosed

log = logger("caseboard.trouble")


def bad_request(request: HttpRequest, exception: Exception) -> HttpResponse:
    return render(request, "400.html", status=400)


def forbidden(request: HttpRequest, exception: Exception) -> HttpResponse:
    """Says why, in the words of the service or the policy that refused."""
    # The page's name and not its address, which may be somebody's way in.
    page = request.resolver_match.view_name if request.resolver_match else ""
    person = getattr(request.user, "public_id", "")
    log.warning("refused", page=page, person=person)
    shown = {"exception": str(exception), "is_closed": isinstance(exception, CaseClosed)}
    return render(request, "403.html", shown, status=403)


def not_found(request: HttpRequest, exception: Exception) -> HttpResponse:
    return render(request, "404.html", status=404)


def server_error(request: HttpRequest) -> HttpResponse:
    """Drawn without the request: whatever broke must not be needed to say so. Django calls it while
    it handles the error."""
    if (error := sys.exception()) is not None and is_refused_write(error):
        return away_page()
    return HttpResponse(loader.get_template("500.html").render(), status=500)
