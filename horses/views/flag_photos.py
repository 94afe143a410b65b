"""Photos added to a flag that is there already."""

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from caseboard.lib import clock
from caseboard.lib.flash_saved import saved
from caseboard.lib.spans import one_or
from horses.access import access_get, require
from horses.accounts.request import SignedInRequest
from horses.forms.flag import PhotosForm
from horses.queries.flags import flag_get
from horses.services.photos import flag_photos_add
from horses.views.attempt import attempt
from horses.views.pictures import count_picture_form

OTHER_PHOTOS = "This form was sent before with other photos. Choose once more."


@require_POST
def photos_add(request: SignedInRequest, case_id: str, flag_id: str) -> HttpResponse:
    """Back to the flag in any case: a browser does not keep chosen photos, so nothing is lost.

    (Too many of them in an hour have the page of their own that all limits have.)
    """
    access = access_get(request.user, case_id)
    require(access, "flag.photo")
    flag_get(access, flag_id)
    count_picture_form(access.person.public_id)
    form = PhotosForm(request.POST, request.FILES, role=access.role)
    if form.is_valid():
        photos = form.cleaned_data["photos"]
        answer = attempt(
            form,
            lambda: flag_photos_add(
                access=access,
                flag_id=flag_id,
                photos=photos,
                shown=form.shown(),
                client_key=form.key,
                now=clock.now(),
            ),
            sent_before=OTHER_PHOTOS,
        )
        if answer.made is not None:
            words = one_or(len(photos), "The photo is added.", f"{len(photos)} photos are added.")
            saved(request, f"{words} The team is told.")
            return redirect("flag", case_id, flag_id)
    refused = [str(why) for name in (*form.fields, "__all__") for why in form.errors.get(name, ())]
    for why in refused or ["Choose a photo first."]:
        messages.error(request, why)
    return redirect("flag", case_id, flag_id)
