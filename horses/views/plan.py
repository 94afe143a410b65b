"""The plan: proposing an item, reading it, one's own word on it, changing it, ending it."""

from typing import Any

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods, require_POST

from caseboard.lib import clock
from caseboard.lib.errors import Conflict, Pair
from caseboard.lib.flash_saved import saved
from horses.access import CaseAccess, access_get, require
from horses.accounts.request import SignedInRequest
from horses.accounts.views.reauthentication import fresh_access, fresh_wanted
from horses.domain.wording import day_words
from horses.forms.plan import (
    LABELS,
    ChangeForm,
    DecideForm,
    FinishForm,
    ProposeForm,
    ReplyForm,
)
from horses.models import Agreement, PlanItem, PlanItemVersion, Role
from horses.queries.board import PlanLine, team_for
from horses.queries.flags import others_on
from horses.queries.plan import changes_between, plan_line_get, plan_shown
from horses.services.idempotency import KeyReused
from horses.services.plan import (
    AGAIN,
    ItemContent,
    PlanRefused,
    content_hash,
    plan_item_decide,
    plan_item_finish,
    plan_item_propose,
    plan_item_revise,
)
from horses.services.plan_words import plan_item_reply
from horses.views.page import board_url, case_page, say_sent_before

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
    try:
        item = plan_item_propose(
            access=access, content=form.content(), client_key=form.key, now=now
        )
    except KeyReused:
        return _new_page(request, access, form, status=say_sent_before(form))
    except PlanRefused as refusal:
        form.add_error(None, str(refusal))
        return _new_page(request, access, form, status=422)
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
    try:
        plan_item_decide(
            access=fresh_access(request, access),
            item_id=item_id,
            seen_hash=data["seen_hash"],
            decision=data["decision"],
            reason=data["reason"],
            now=clock.now(),
        )
    except PlanRefused as refusal:
        form.add_error("reason" if line.is_open else None, str(refusal))
        return _item_page(request, access, line, form, status=422)
    except Conflict:
        return _item_changed(request, access, item_id, form)
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
    try:
        plan_item_reply(
            access=access,
            item_id=item_id,
            words=reply.cleaned_data["words"],
            client_key=reply.key,
            now=clock.now(),
        )
    except PlanRefused as refusal:
        reply.add_error("words", str(refusal))
        return _item_page(request, access, line, DecideForm(), reply=reply, status=422)
    except KeyReused:
        status = say_sent_before(reply)
        return _item_page(request, access, line, DecideForm(), reply=reply, status=status)
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
        "may_change": line.is_open and _may_change(access, line.version),
        "ends": _ends(access, line),
        "reply": reply or ReplyForm(auto_id="reply_%s"),
        "reply_keep": f"reply-{line.item.public_id}",
        "my_words": SAID[shown.my_word.decision] if shown.my_word else "",
        "i_agreed": shown.my_word and shown.my_word.decision == Agreement.Decision.AGREE,
    }
    return case_page(request, access, "horses/plan_item.html", context, status=status)


def _may_change(access: CaseAccess, version: PlanItemVersion) -> bool:
    return access.role == Role.VET or not version.therapeutic


# -- changing


@require_http_methods(["GET", "POST"])
def plan_change(request: SignedInRequest, case_id: str, item_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "plan.propose")
    line = plan_line_get(access, item_id)
    if line.version.therapeutic:
        require(access, "plan.therapeutic")
    now = clock.now()
    form = _change_form(request, access, line, today=timezone.localtime(now).date())
    if request.method != "POST":
        return _change_page(request, access, line, form)
    if not form.is_valid():
        return _change_page(request, access, line, form, status=422)
    if line.version.target is not None:
        form.add_error(None, AGAIN[line.item.kind == PlanItem.Kind.TARGET])
        return _change_page(request, access, line, form, status=422)
    seen_version: int = form.cleaned_data["seen_version"]
    words = "Saved as a new version. The others are asked again."
    try:
        version = plan_item_revise(
            access=access,
            item_id=item_id,
            seen_version=seen_version,
            content=form.content(),
            now=now,
        )
        if version.number == seen_version:
            words = "Nothing was changed, so everybody's word still stands."
    except PlanRefused as refusal:
        form.add_error(None, str(refusal))
        return _change_page(request, access, line, form, status=422)
    except Conflict:
        line = plan_line_get(access, item_id)
        if not _is_mine_already(access, line, form.content()):
            pairs = conflict_pairs(form.content(), line.version)
            form.see(line.version)
            return _change_page(request, access, line, form, pairs=pairs, status=409)
    saved(request, words, keep=_change_keep(line))
    return redirect("plan_item", case_id, item_id)


def _change_form(
    request: HttpRequest, access: CaseAccess, line: PlanLine, *, today: Any
) -> ChangeForm:
    data = request.POST if request.method == "POST" else None
    return ChangeForm(data, version=line.version, vet=access.role == Role.VET, today=today)


def _is_mine_already(access: CaseAccess, line: PlanLine, content: ItemContent) -> bool:
    """The same form sent twice: the first has made exactly this version."""
    version = line.version
    same = content_hash(line.item.case, line.item.number, version.number, content)
    return version.proposed_by_id == access.person.pk and same == version.content_hash


def conflict_pairs(mine: ItemContent, theirs: PlanItemVersion) -> list[Pair]:
    """Each field that differs, as typed and as it stands now."""
    return Conflict(_as_words(mine), _as_words(theirs)).pairs(LABELS)


def _as_words(content: ItemContent | PlanItemVersion) -> dict[str, str]:
    return {
        "text": content.text,
        "who_does": Role(content.who_does).label,
        "from_on": day_words(content.from_on),
        "until_on": day_words(content.until_on),
        "reason": content.reason,
        "therapeutic": "yes" if content.therapeutic else "no",
        "emergency": "yes" if content.emergency else "no",
    }


def _change_keep(line: PlanLine) -> str:
    return f"plan-{line.item.public_id}"


def _change_page(
    request: HttpRequest,
    access: CaseAccess,
    line: PlanLine,
    form: ChangeForm,
    *,
    pairs: list[Pair] | None = None,
    status: int = 200,
) -> HttpResponse:
    context = {
        "form": form,
        "item": line.item,
        "version": line.version,
        "is_band": line.item.kind == PlanItem.Kind.TARGET,
        "has_steps": line.version.target is not None,
        "pairs": pairs,
        "keep": _change_keep(line),
        "agreed_roles": [role for role, mark in line.state.marks.items() if mark == "agreed"],
    }
    return case_page(request, access, "horses/plan_change.html", context, status=status)


# -- ending


@require_http_methods(["GET", "POST"])
def plan_finish(request: SignedInRequest, case_id: str, item_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "plan.finish")
    line = plan_line_get(access, item_id)
    ends = _ends(access, line)
    if line.is_open and not ends:
        raise PermissionDenied("A therapeutic item is finished or withdrawn by the vet.")
    data = request.POST if request.method == "POST" else None
    form = FinishForm(data, ends=ends, initial={"version": line.version.number})
    conflict: Conflict | None = None
    if data is not None and form.is_valid():
        try:
            plan_item_finish(
                access=access,
                item_id=item_id,
                status=form.cleaned_data["status"],
                reason=form.cleaned_data["reason"],
                seen_version=form.cleaned_data["version"],
                now=clock.now(),
            )
        except PlanRefused as refusal:
            form.add_error("reason", str(refusal))
        except Conflict as both:
            conflict, line = both, plan_line_get(access, item_id)
            form.see(line.version.number)
        else:
            saved(request, f"Item {line.item.number} has ended.", keep=f"end-{item_id}")
            return redirect("plan_item", case_id, item_id)
    context = {
        "form": form,
        "item": line.item,
        "version": line.version,
        "keep": f"end-{item_id}",
        "may_withdraw": PlanItem.Status.WITHDRAWN in ends,
        "conflict": conflict,
        "pairs": conflict.pairs({"status": "The item", **LABELS}) if conflict else None,
        "over": "" if line.is_open else "It has ended. Your words are kept below.",
    }
    status = 409 if conflict else 422 if form.errors else 200
    return case_page(request, access, "horses/plan_finish.html", context, status=status)


def _ends(access: CaseAccess, line: PlanLine) -> list[str]:
    """How this person may end the item: nobody but the vet ends a therapeutic one, and only the
    role that proposed it withdraws it."""
    if not line.is_open or not _may_change(access, line.version):
        return []
    mine = access.role == line.version.proposed_role
    return [PlanItem.Status.DONE, *([PlanItem.Status.WITHDRAWN] if mine else [])]
