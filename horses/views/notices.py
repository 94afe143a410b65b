"""What somebody was told, newest first."""

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from caseboard.lib import clock
from caseboard.lib.saved import saved
from horses.notices import notices_for, notices_mark_read, unread_count
from horses.signed_in import SignedInRequest

A_PAGE = 30  # house default


@require_http_methods(["GET", "POST"])
def notice_list(request: SignedInRequest) -> HttpResponse:
    """Looking marks nothing as read: only the button does."""
    now = clock.now()
    if request.method == "POST":
        notices_mark_read(person=request.user, now=now)
        saved(request, "All marked as read.")
        return redirect("notices")
    page = Paginator(notices_for(request.user), A_PAGE).get_page(request.GET.get("page"))
    shown = {"page": page, "unread": unread_count(request.user), "now": now}
    return render(request, "horses/notices.html", shown)
