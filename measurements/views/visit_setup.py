"""The page on which a person makes the form of a visit their own."""

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from caseboard.lib.flash_saved import saved
from horses.accounts.request import SignedInRequest
from measurements.forms.visit_setup import VisitSetupForm
from measurements.panels.visit_set import feet_of, measured_by
from measurements.queries.visit_setup import own_shoes, visit_setup_of
from measurements.services.visit_setup import visit_setup_save

KEEP = "visit-setup"


@require_http_methods(["GET", "POST"])
def visit_setup(request: SignedInRequest) -> HttpResponse:
    person, posted = request.user, request.POST if request.method == "POST" else None
    setup = visit_setup_of(person)
    form = VisitSetupForm(
        posted,
        side_words=person.side_words,
        shoes=[shoe["name"] for shoe in own_shoes(setup)],
        initial={
            "measured": measured_by(setup),
            "feet": feet_of(setup),
            "blind": bool(setup and setup.blind),
        },
    )
    if form.is_valid():
        given = form.cleaned_data
        visit_setup_save(
            person=person,
            measured=given["measured"],
            feet=given["feet"],
            blind=given["blind"],
            without=given["without"],
        )
        saved(request, "Saved. Your next visit form has it.", keep=KEEP)
        return redirect("visit_setup")
    status = 200 if posted is None else 422
    shown = {"form": form, "keep": KEEP}
    return render(request, "measurements/visit_setup.html", shown, status=status)
