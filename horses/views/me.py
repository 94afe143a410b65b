"""The page about oneself."""

from django.forms.models import model_to_dict
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from caseboard.lib.saved import saved
from horses.forms.me import MeForm
from horses.services.people import EDITABLE, person_edit
from horses.signed_in import SignedInRequest

KEEP = "me"


@require_http_methods(["GET", "POST"])
def me(request: SignedInRequest) -> HttpResponse:
    posted = request.POST if request.method == "POST" else None
    form = MeForm(posted, initial=model_to_dict(request.user, fields=EDITABLE))
    if form.is_valid():
        person_edit(person=request.user, fields=form.cleaned_data)
        saved(request, "Saved.", keep=KEEP)
        return redirect("me")
    status = 200 if posted is None else 422
    return render(request, "horses/me.html", {"form": form, "keep": KEEP}, status=status)
