"""The page about oneself."""

from typing import Any

from django.forms.models import model_to_dict
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_http_methods

from caseboard.lib.errors import Conflict, Pair
from caseboard.lib.flash_saved import saved
from horses.accounts.forms.profile import MeForm, value_words
from horses.accounts.request import SignedInRequest
from horses.accounts.services.people import EDITABLE, person_edit

KEEP = "me"


@require_http_methods(["GET", "POST"])
def me(request: SignedInRequest) -> HttpResponse:
    posted = request.POST if request.method == "POST" else None
    form = MeForm(posted, initial=model_to_dict(request.user, fields=[*EDITABLE, "version"]))
    shown: dict[str, Any] = {"form": form, "keep": KEEP}
    status = 200 if posted is None else 422
    if form.is_valid():
        fields = {name: form.cleaned_data[name] for name in EDITABLE}
        try:
            person_edit(person=request.user, fields=fields, version=form.cleaned_data["version"])
        except Conflict as conflict:
            form.see(conflict.version)
            shown |= {"pairs": _pairs(conflict, form), "who": "You, on another page,"}
            status = 409
        else:
            saved(request, "Saved.", keep=KEEP)
            return redirect("me")
    return render(request, "horses/me.html", shown, status=status)


def _pairs(conflict: Conflict, form: MeForm) -> list[Pair]:
    """Both settings of each field that differs, in words."""
    in_words = Conflict(
        {name: value_words(name, value) for name, value in conflict.mine.items()},
        {name: value_words(name, value) for name, value in conflict.theirs.items()},
    )
    return in_words.pairs({name: str(field.label) for name, field in form.fields.items()})
