"""What is kept of an owner without an account: shown to them, or erased, by whoever holds the horse."""

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from caseboard.lib import clock
from horses.access import access_get, require
from horses.accounts.request import SignedInRequest
from horses.queries.held import contact_of
from horses.services.held import contact_erase, contact_show
from horses.views.page import case_page


class ContactForm(forms.Form):
    act = forms.ChoiceField(choices=[("told", ""), ("erase", "")])


@require_http_methods(["GET", "POST"])
def owner_contact(request: SignedInRequest, case_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "owner.contact")
    if request.method != "POST":
        shown = {"contact": contact_of(access)}
        return case_page(request, access, "horses/owner_contact.html", shown)
    form = ContactForm(request.POST)
    if not form.is_valid():
        shown = {"contact": contact_of(access)}
        return case_page(request, access, "horses/owner_contact.html", shown, status=422)
    if form.cleaned_data["act"] == "erase":
        contact_erase(access=access, now=clock.now())
        messages.success(request, "Name and phone number are erased. The history repeats neither.")
    else:
        contact_show(access=access, now=clock.now())
        messages.success(request, "Written down that the owner was told. The line repeats nothing.")
    return redirect("owner_contact", case_id=case_id)
