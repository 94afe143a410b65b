"""What a person's phone is to keep for reading: asked for by the service worker."""

from dataclasses import asdict

from django.http import HttpResponse, JsonResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from caseboard.kept.addresses import shelf_for
from caseboard.lib import clock
from horses.accounts.request import SignedInRequest


@require_safe
def shelf(request: SignedInRequest) -> HttpResponse:
    now = clock.now()
    found = shelf_for(request.user, today=timezone.localtime(now).date(), now=now)
    return JsonResponse(asdict(found))
