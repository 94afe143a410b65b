"""Whether a printed sheet is genuine and still the newest, for whoever holds the paper.

Somebody who is on the case is shown the sheet. Somebody with the code alone learns only whether it
is genuine and current: no name, no horse, no day.
"""

import re

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_safe

from caseboard.lib import clock
from caseboard.lib.limits import limit_check
from caseboard.lib.machine import machine_of
from caseboard.lib.open_pages import open_to_all
from horses.access import access_on
from horses.models import PlanSheet
from horses.queries.plan_sheets import sheet_by_code, superseded_by
from horses.services.sheets import CODE_LENGTH

# House default: a yard with all its papers behind one connection. At this rate one of a thousand
# codes would be met by chance in some hundred thousand years.
CHECKS_AN_HOUR = 60
MALFORMED = f"A code has {CODE_LENGTH} letters and digits. Look again at the paper, please."


@open_to_all
@require_safe
def sheet_check(request: HttpRequest) -> HttpResponse:
    """Where a code is typed. The form works by an address, so that it works everywhere."""
    typed = request.GET.get("code", "")
    code = re.sub(r"[^a-z0-9]", "", typed.lower())[:40]
    if len(code) == CODE_LENGTH:
        return redirect("sheet_verify", code)
    wrong = bool(typed.strip())
    shown = {"typed": typed[:60], "trouble": MALFORMED if wrong else ""}
    return render(request, "caseboard/sheet_verify.html", shown, status=422 if wrong else 200)


@open_to_all
@require_safe
def sheet_verify(request: HttpRequest, code: str) -> HttpResponse:
    """Looked up before it is counted: what is counted are guesses, and a code on paper is none."""
    sheet = sheet_by_code(code)
    if sheet is None:
        limit_check(
            "sheet code",
            machine_of(request),
            limit=CHECKS_AN_HOUR,
            window_s=3600,
            now=clock.now(),
            by_strangers=True,
        )
        shown = {"is_unknown": True, "typed": code[:60]}
        return render(request, "caseboard/sheet_verify.html", shown, status=404)
    if _is_member(request, sheet):
        return redirect("sheet_issued", sheet.case.public_id, sheet.number)
    is_current = superseded_by(sheet) is None
    shown = {"is_current": is_current, "is_superseded": not is_current, "typed": code}
    return render(request, "caseboard/sheet_verify.html", shown)


def _is_member(request: HttpRequest, sheet: PlanSheet) -> bool:
    user = request.user
    return user.is_authenticated and access_on(user, sheet.case) is not None
