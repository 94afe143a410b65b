"""The people of a yard: asking somebody to join, reading who came, ending somebody's place."""

from dataclasses import replace
from datetime import datetime
from typing import Any
from urllib.parse import quote

from django.conf import settings
from django.http import Http404, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.timezone import localdate
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from caseboard.lib import clock
from caseboard.lib.flash_saved import saved
from caseboard.lib.limits import limit_check
from caseboard.lib.qr import qr_drawing
from horses.access_yard import YardAccess, yard_access_get, yard_require
from horses.accounts import reauthentication
from horses.accounts.request import SignedInRequest
from horses.accounts.views.reauthentication import fresh_wanted
from horses.forms.yard_people import YardConfirmForm, YardInviteForm
from horses.models import YardInvitation, YardMember
from horses.queries.reopened import coming, reopened_mark
from horses.queries.yards import on_by_place, yard_horses, yard_links, yard_people, yard_waiting
from horses.services.yard_links import yard_link_end as yard_link_end_save
from horses.services.yard_links import yard_link_make, yard_link_url
from horses.services.yard_members import (
    yard_member_confirm,
    yard_member_decline,
)
from horses.services.yard_members import (
    yard_member_end as yard_member_end_save,
)
from horses.views.attempt import attempt, attempt_button

HOUR_S = 3600
QUIET_ZONE = 8  # squares, four on each side (ISO/IEC 18004)


def _fresh(request: SignedInRequest, access: YardAccess) -> YardAccess:
    return replace(access, fresh=reauthentication.is_fresh(request.session, clock.now()))


@require_http_methods(["GET", "POST"])
def yard_invite(request: SignedInRequest, yard_id: str) -> HttpResponse:
    access = yard_access_get(request.user, yard_id)
    yard_require(access, "yard.invite", only_look=True)
    posted = request.POST if request.method == "POST" else None
    form = YardInviteForm(posted, initial={"role": request.GET.get("as", "")})
    keep = f"yard-invite-{yard_id}"
    if form.is_valid():
        doing = f"make a link to the yard {access.yard}"
        if asked := fresh_wanted(request, doing=doing, back=reverse("yard", args=[yard_id])):
            return asked
        now = clock.now()
        _count(access, now)
        answer = attempt(
            form,
            lambda: yard_link_make(
                access=_fresh(request, access),
                role=form.cleaned_data["role"],
                email=form.cleaned_data["email"],
                now=now,
            ),
        )
        if answer.made is not None:
            saved(request, "The link is made.", keep=keep)
            return redirect("yard_link", yard_id, answer.made.public_id)
    shown = {"form": form, "keep": keep, "yard": access.yard}
    status = 200 if posted is None else 422
    return render(request, "horses/yard_invite.html", shown, status=status)


def _count(access: YardAccess, now: datetime) -> None:
    limit_check(
        "invite",
        access.person.public_id,
        limit=settings.LIMIT_INVITATIONS,
        window_s=HOUR_S,
        now=now,
        what="invitations",
    )


@require_safe
def yard_link(request: SignedInRequest, yard_id: str, link_id: str) -> HttpResponse:
    """The link on the inviter's screen: to hold a phone over, to send, to copy."""
    access = yard_access_get(request.user, yard_id)
    yard_require(access, "yard.invite", only_look=True)
    link = _link(access, link_id)
    url = yard_link_url(link.public_id)
    qr = qr_drawing(url)
    shown = {
        "yard": access.yard,
        "link": link,
        "url": url,
        "qr": qr,
        "qr_side": qr.size + QUIET_ZONE,
        "sms_url": f"sms:?&body={quote(_sms_words(access, link, url), safe='')}",
        "once": link.is_used_once,
    }
    response = render(request, "horses/yard_link.html", shown)
    response["Cache-Control"] = "private, no-store"
    return response


def _link(access: YardAccess, link_id: str) -> YardInvitation:
    link = yard_links(access).filter(public_id=link_id, expires_at__gt=clock.now()).first()
    if link is None:
        raise Http404("no such open link")
    return link


def _sms_words(access: YardAccess, link: YardInvitation, url: str) -> str:
    role = link.get_role_display()
    return (
        f"{access.person} asks you to join the yard {access.yard} on the hoof case board as "
        f"{role}. Your name and address once, then you are in: {url}"
    )


@require_POST
def yard_link_end(request: SignedInRequest, yard_id: str, link_id: str) -> HttpResponse:
    access = yard_access_get(request.user, yard_id)
    yard_link_end_save(access=access, public_id=link_id, now=clock.now())
    saved(request, "The link is ended. It opens nothing any more.")
    return redirect("yard", yard_id=yard_id)


@require_http_methods(["GET", "POST"])
def yard_confirm(request: SignedInRequest, yard_id: str, member_id: str) -> HttpResponse:
    """Who came in by a link, and what a yes would do, before it is said."""
    access = yard_access_get(request.user, yard_id)
    yard_require(access, "yard.confirm", only_look=True)
    member = next((m for m in yard_waiting(access) if m.public_id == member_id), None)
    if member is None:
        raise Http404("nobody of this name waits")
    now = clock.now()
    what = coming(access.yard.pk, member.role, member=member)
    horses = yard_horses(access, today=localdate(now))
    own = [h for h in horses if h.stay.is_yards_own]
    posted = request.POST if request.method == "POST" else None
    form = YardConfirmForm(posted, member=member, today=localdate(now), own=own)
    if form.is_valid():
        doing = f"answer {member.person} about the yard {access.yard}"
        if asked := fresh_wanted(request, doing=doing, back=reverse("yard", args=[yard_id])):
            return asked
        if _answer(_fresh(request, access), form, member, now):
            yes = form.data.get("answer") == "yes"
            words = "has a place at the yard now" if yes else "was told no: they see nothing"
            saved(request, f"{member.person} {words}.")
            return redirect("yard", yard_id=yard_id)
        what = coming(access.yard.pk, member.role, member=member)
    shown: dict[str, Any] = {
        "yard": access.yard,
        "member": member,
        "coming": what,
        "seen": reopened_mark(what.reopened),
        "form": form,
        "fields": [f for f in form if f.name != "seen"],
        "refusal": " ".join(map(str, form.non_field_errors())),
    }
    status = 200 if posted is None else 422
    return render(request, "horses/yard_confirm.html", shown, status=status)


def _answer(access: YardAccess, form: YardConfirmForm, member: YardMember, now: datetime) -> bool:
    if form.data.get("answer") != "yes":
        yard_member_decline(access=access, member_id=member.public_id, now=now)
        return True
    given = form.cleaned_data
    answer = attempt(
        form,
        lambda: yard_member_confirm(
            access=access,
            member_id=member.public_id,
            seen=given["seen"],
            horse_ids=given.get("horses", ()),
            until_on=given.get("until_on"),
            now=now,
        ),
    )
    return answer.made is not None


@require_http_methods(["GET", "POST"])
def yard_member_end(request: SignedInRequest, yard_id: str, member_id: str) -> HttpResponse:
    """A page that asks once more; leaving is the same page for oneself."""
    access = yard_access_get(request.user, yard_id)
    leaving = access.member.public_id == member_id
    yard_require(access, "yard.leave" if leaving else "yard.remove", only_look=True)
    member = next((m for m in yard_people(access) if m.public_id == member_id), None)
    if member is None:
        raise Http404("no such person of the yard")
    refusal = ""
    if request.method == "POST":
        doing = f"end the place of {member.person} at {access.yard}"
        back = reverse("yard", args=[yard_id])
        if not leaving and (asked := fresh_wanted(request, doing=doing, back=back)):
            return asked
        made, refusal = attempt_button(
            lambda: yard_member_end_save(
                access=_fresh(request, access), member_id=member_id, now=clock.now()
            )
        )
        if made is not None:
            if leaving:
                saved(request, f"You have left {access.yard}.")
                return redirect("horses")
            saved(request, f"{member.person} has no place at {access.yard} any more.")
            return redirect("yard", yard_id=yard_id)
    shown = {
        "yard": access.yard,
        "member": member,
        "leaving": leaving,
        "horses": on_by_place(access, member),
        "refusal": refusal,
    }
    return render(request, "horses/yard_member_end.html", shown, status=422 if refusal else 200)
