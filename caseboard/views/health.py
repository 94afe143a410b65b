"""For machines that ask whether this process answers, and whether the installation works."""

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.views.decorators.http import require_safe

from caseboard.lib import clock
from caseboard.lib.open_pages import open_to_all
from caseboard.processes.readiness import readiness_kept


@open_to_all
@require_safe
def livez(request: HttpRequest) -> HttpResponse:
    return HttpResponse("ok", content_type="text/plain; charset=utf-8")


@open_to_all
@require_safe
def readyz(request: HttpRequest) -> HttpResponse:
    """503 when anything needs the people who run this: what, in one word each, and no more."""
    found = readiness_kept(now=clock.now())
    status = 200 if all(part.ok for part in found) else 503
    answer = JsonResponse({part.name: part.says for part in found}, status=status)
    answer["Cache-Control"] = "no-store"
    return answer
