"""For machines that ask whether this process answers."""

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from caseboard.lib.open_pages import open_to_all


@open_to_all
@require_safe
def livez(request: HttpRequest) -> HttpResponse:
    return HttpResponse("ok", content_type="text/plain; charset=utf-8")
