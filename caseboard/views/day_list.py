"""The round of a farrier or a vet for a day or a week, on screen and on paper."""

from datetime import date, timedelta

from django.http import HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_safe

from caseboard.day_list import LENGTHS, round_page
from caseboard.lib import clock
from horses.accounts.request import SignedInRequest
from horses.forms.keyed import KeyedForm

# Years that a date typed into the address may lie off; further ones are slips. House default.
AROUND = timedelta(days=3 * 365)


@require_safe
def round_view(request: SignedInRequest) -> HttpResponse:
    today = timezone.localtime(clock.now()).date()
    first = _first(request.GET.get("from", ""), today)
    days = 1 if request.GET.get("days") == "1" else LENGTHS[-1]
    page = round_page(
        request.user, first=first, days=days, today=today, page=request.GET.get("page")
    )
    shown = {
        "page": page,
        "key_form": KeyedForm(),
        "today": today,
        "is_today": first == today and page.is_one_day,
        "is_this_week": first == today and page.is_week,
    }
    return render(request, "caseboard/round.html", shown)


def _first(typed: str, today: date) -> date:
    """The day asked for; today for anything that is none."""
    try:
        day = date.fromisoformat(typed)
    except ValueError:
        return today
    return day if abs(day - today) <= AROUND else today
