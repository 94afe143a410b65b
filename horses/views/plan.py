"""The plan: proposing an item, reading it, one's own word on it, answers to the others."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from caseboard.lib import clock
from caseboard.lib.flash_saved import saved
from horses.access import CaseAccess, access_get, require
from horses.accounts.request import SignedInRequest
from horses.accounts.views.reauthentication import fresh_access, fresh_wanted
from horses.forms.plan import DecideForm, ProposeForm, ReplyForm
from horses.models import Agreement, Role
from horses.queries.board import team_for
from horses.queries.flags import others_on
from horses.queries.plan import changes_between, plan_line_get, plan_shown
from horses.queries.plan_lines import PlanLine
from horses.services.plan import plan_item_decide, plan_item_propose
from horses.services.plan_words import plan_item_reply
from horses.views.attempt import attempt
from horses.views.page import board_url, case_page
from horses.views.plan_change import may_change
from horses.views.plan_end import ends_for

SAID = {"agree": "You agreed", "ask": "You asked for a change", "decline": "You declined"}


# -- proposing


@require_http_methods(["GET", "POST"])
def plan_new(request: SignedInRequest, case_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "plan.propose")
    now = clock.now()
    form = ProposeForm(
        request.POST if request.method == "POST" else None,
        vet=access.role == Role.VET,
        today=timezone.localtime(now).date(),
    )
    if request.method != "POST":
        return _new_page(request, access, form)
    if not form.is_valid():
        return _new_page(request, access, form, status=422)
    answer = attempt(
        form,
        lambda: plan_item_propose(
            access=access, content=form.content(), client_key=form.key, now=now
        ),
    )
    if answer.made is None:
        return _new_page(request, access, form, status=answer.status)
    item = answer.made
    words = f"Item {item.number} is proposed. You have agreed to it; the others are asked."
    if form.content().emergency:
        words = f"Item {item.number} is in force. The others are told, and asked to agree."
    saved(request, words, keep=_new_keep(access))
    return redirect("plan_item", case_id, item.public_id)


def _new_keep(access: CaseAccess) -> str:
    return f"plan-{access.case.public_id}"


def _new_page(
    request: HttpRequest, access: CaseAccess, form: ProposeForm, *, status: int = 200
) -> HttpResponse:
    readers = others_on(access, team_for(access))
    shown = {"form": form, "readers": readers, "keep": _new_keep(access)}
    return case_page(request, access, "horses/plan_new.html", shown, status=status)


# -- reading, agreeing, declining


@require_http_methods(["GET", "POST"])
def plan_item(request: SignedInRequest, case_id: str, item_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "case.see")
    line = plan_line_get(access, item_id)
    if request.method != "POST":
        return _item_page(request, access, line, DecideForm())
    require(access, "plan.agree")
    form = DecideForm(request.POST)
    if not form.is_valid():
        return _item_page(request, access, line, form, status=422)
    data = form.cleaned_data
    if line.version.therapeutic and data["decision"] == Agreement.Decision.AGREE:
        doing = f"agree to item {line.item.number}, under the vet's direction"
        if asked := fresh_wanted(request, doing=doing, back=board_url(access)):
            return asked
    answer = attempt(
        form,
        lambda: plan_item_decide(
            access=fresh_access(request, access),
            item_id=item_id,
            seen_hash=data["seen_hash"],
            decision=data["decision"],
            reason=data["reason"],
            now=clock.now(),
        ),
    )
    if answer.conflict is not None:
        return _item_changed(request, access, item_id, form)
    if answer.made is None:
        return _item_page(request, access, line, form, status=answer.status)
    saved(
        request,
        f"{SAID[data['decision']]}, for the {access.role.label}.",
        keep=_decide_keep(access, line),
    )
    return redirect("plan_item", case_id, item_id)


@require_POST
def plan_reply(request: SignedInRequest, case_id: str, item_id: str) -> HttpResponse:
    """Answers somebody who declined or asked for a change, without making a new version."""
    access = access_get(request.user, case_id)
    require(access, "plan.reply")
    line = plan_line_get(access, item_id)
    reply = ReplyForm(request.POST, auto_id="reply_%s")
    if not reply.is_valid():
        return _item_page(request, access, line, DecideForm(), reply=reply, status=422)
    answer = attempt(
        reply,
        lambda: plan_item_reply(
            access=access,
            item_id=item_id,
            words=reply.cleaned_data["words"],
            client_key=reply.key,
            now=clock.now(),
        ),
    )
    if answer.made is None:
        return _item_page(request, access, line, DecideForm(), reply=reply, status=answer.status)
    saved(request, "Saved. Read by the whole team.", keep=f"reply-{line.item.public_id}")
    return redirect("plan_item", case_id, item_id)


def _item_changed(
    request: HttpRequest, access: CaseAccess, item_id: str, form: DecideForm
) -> HttpResponse:
    """The item was changed while it was being read: both texts, and the form for the new one."""
    line = plan_line_get(access, item_id)
    seen = [v for v in line.item.versions.all() if v.content_hash == form.data.get("seen_hash")]
    changed = {
        "seen": seen[0] if seen else None,
        "changes": changes_between(seen[0], line.version) if seen else (),
    }
    return _item_page(request, access, line, form, changed=changed, status=409)


def _decide_keep(access: CaseAccess, line: PlanLine) -> str:
    return f"decide-{line.item.public_id}"


def _item_page(
    request: HttpRequest,
    access: CaseAccess,
    line: PlanLine,
    form: DecideForm,
    *,
    reply: ReplyForm | None = None,
    changed: dict[str, Any] | None = None,
    status: int = 200,
) -> HttpResponse:
    shown = plan_shown(access, line)
    context = {
        "shown": shown,
        "item": line.item,
        "version": line.version,
        "form": form,
        "keep": _decide_keep(access, line),
        "changed": changed,
        "may_change": line.is_open and may_change(access, line.version),
        "ends": ends_for(access, line),
        "reply": reply or ReplyForm(auto_id="reply_%s"),
        "reply_keep": f"reply-{line.item.public_id}",
        "my_words": SAID[shown.my_word.decision] if shown.my_word else "",
        "i_agreed": shown.my_word and shown.my_word.decision == Agreement.Decision.AGREE,
    }
    return case_page(request, access, "horses/plan_item.html", context, status=status)
