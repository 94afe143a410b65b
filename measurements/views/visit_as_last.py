"""One tap at the stop: the visit written up as last time."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_POST

from caseboard.lib import clock
from caseboard.lib.written import written_or
from horses.access import access_get
from horses.accounts.request import SignedInRequest
from horses.forms.keyed import KeyedForm
from horses.views.attempt import attempt
from measurements.services.visit_as_last import visit_as_last


@require_POST
def visit_as_last_now(request: SignedInRequest, case_id: str) -> HttpResponse:
    """Back to the day when it is written; to the form, foot by foot, when it must not be."""
    access = access_get(request.user, case_id)
    form = KeyedForm(request.POST)
    form.is_valid()
    key = str(form.cleaned_data.get("client_key", ""))
    key = f"{key}-{case_id}" if key else ""  # one page of a day has many such buttons
    now = clock.now()
    on = written_or(now).date()
    answer = attempt(form, lambda: visit_as_last(access=access, client_key=key, on=on, now=now))
    if answer.made is None:
        messages.warning(request, " ".join(map(str, form.non_field_errors())))
        return redirect("visit_new", case_id)
    words = f"{access.horse.name}: written up as last time, without measurements."
    messages.success(request, f"{words} To change it, choose “Correct this visit” under Visits.")
    days = "7" if request.POST.get("days") == "7" else "1"
    return redirect(f"{reverse('round')}?days={days}")
