"""Whether a form that a phone still keeps was saved after all: its answer may have been lost."""

from django.http import HttpResponse, JsonResponse
from django.views.decorators.http import require_safe

from horses.accounts.request import SignedInRequest
from horses.services.idempotency import key_used

LONGEST_KEY = 64  # as in the column


@require_safe
def form_saved(request: SignedInRequest) -> HttpResponse:
    """Of the person's own forms only; any other key was not used."""
    key = request.GET.get("key", "")
    was = len(key) <= LONGEST_KEY and "\0" not in key and key_used(request.user, key)
    return JsonResponse({"saved": was})
