"""The plan: marking an item done, or withdrawing it."""

from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods

from caseboard.lib import clock
from caseboard.lib.errors import Conflict
from caseboard.lib.flash_saved import saved
from horses.access import CaseAccess, access_get, require
from horses.accounts.request import SignedInRequest
from horses.forms.plan import LABELS, FinishForm
from horses.models import PlanItem
from horses.queries.plan import plan_line_get
from horses.queries.plan_lines import PlanLine
from horses.services.plan_end import plan_item_finish
from horses.views.attempt import attempt
from horses.views.page import case_page
from horses.views.plan_change import may_change


@require_http_methods(["GET", "POST"])
def plan_finish(request: SignedInRequest, case_id: str, item_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "plan.finish")
    line = plan_line_get(access, item_id)
    ends = ends_for(access, line)
    if line.is_open and not ends:
        raise PermissionDenied("A therapeutic item is finished or withdrawn by the vet.")
    data = request.POST if request.method == "POST" else None
    form = FinishForm(data, ends=ends, initial={"version": line.version.number})
    if data is None:
        return _finish_page(request, access, line, form, ends)
    if not form.is_valid():
        return _finish_page(request, access, line, form, ends, status=422)
    answer = attempt(
        form,
        lambda: plan_item_finish(
            access=access,
            item_id=item_id,
            status=form.cleaned_data["status"],
            reason=form.cleaned_data["reason"],
            seen_version=form.cleaned_data["version"],
            now=clock.now(),
        ),
    )
    conflict = answer.conflict
    if conflict is not None:
        line = plan_line_get(access, item_id)
        form.see(line.version.number)
    if answer.made is None:
        return _finish_page(
            request, access, line, form, ends, conflict=conflict, status=answer.status
        )
    saved(request, f"Item {line.item.number} has ended.", keep=f"end-{item_id}")
    return redirect("plan_item", case_id, item_id)


def _finish_page(
    request: HttpRequest,
    access: CaseAccess,
    line: PlanLine,
    form: FinishForm,
    ends: list[str],
    *,
    conflict: Conflict | None = None,
    status: int = 200,
) -> HttpResponse:
    context = {
        "form": form,
        "item": line.item,
        "version": line.version,
        "keep": f"end-{line.item.public_id}",
        "may_withdraw": PlanItem.Status.WITHDRAWN in ends,
        "conflict": conflict,
        "pairs": conflict.pairs({"status": "The item", **LABELS}) if conflict else None,
        "over": "" if line.is_open else "It has ended. Your words are kept below.",
    }
    return case_page(request, access, "horses/plan_finish.html", context, status=status)


def ends_for(access: CaseAccess, line: PlanLine) -> list[str]:
    """How this person may end the item: nobody but the vet ends a therapeutic one, and only the
    role that proposed it withdraws it."""
    if not line.is_open or not may_change(access, line.version):
        return []
    mine = access.role == line.version.proposed_role
    return [PlanItem.Status.DONE, *([PlanItem.Status.WITHDRAWN] if mine else [])]
