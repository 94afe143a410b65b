"""The plan: changing an item, which asks everybody again."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils import timezone
from django.views.decorators.http import require_http_methods

from caseboard.lib import clock
from caseboard.lib.errors import Conflict, Pair
from caseboard.lib.flash_saved import saved
from horses.access import CaseAccess, access_get, require
from horses.accounts.request import SignedInRequest
from horses.domain.wording import day_words
from horses.forms.plan import LABELS, ChangeForm
from horses.models import PlanItem, PlanItemVersion, Role
from horses.queries.plan import plan_line_get
from horses.queries.plan_lines import PlanLine
from horses.services.plan import AGAIN, ItemContent, content_hash, plan_item_revise
from horses.views.attempt import attempt
from horses.views.page import case_page


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
    answer = attempt(
        form,
        lambda: plan_item_revise(
            access=access,
            item_id=item_id,
            seen_version=seen_version,
            content=form.content(),
            now=now,
        ),
    )
    words = "Saved as a new version. The others are asked again."
    if answer.made is not None and answer.made.number == seen_version:
        words = "Nothing was changed, so everybody's word still stands."
    if answer.conflict is not None:
        line = plan_line_get(access, item_id)
        if not _is_mine_already(access, line, form.content()):
            pairs = conflict_pairs(form.content(), line.version)
            form.see(line.version)
            return _change_page(request, access, line, form, pairs=pairs, status=answer.status)
    elif answer.made is None:
        return _change_page(request, access, line, form, status=answer.status)
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


def may_change(access: CaseAccess, version: PlanItemVersion) -> bool:
    return access.role == Role.VET or not version.therapeutic
