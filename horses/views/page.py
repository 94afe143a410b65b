"""What the pages of one case have in common: who looks, what they may do, the way back."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse

from horses.access import CaseAccess
from horses.queries.rights import rights_of


def case_page(
    request: HttpRequest,
    access: CaseAccess,
    template: str,
    shown: dict[str, Any],
    *,
    status: int = 200,
) -> HttpResponse:
    """Renders a page of the case. `can` holds the actions that the person may do now."""
    context = {
        "access": access,
        "case": access.case,
        "horse": access.horse,
        "can": rights_of(access),
        "board_url": board_url(access),
        **shown,
    }
    return render(request, template, context, status=status)


def board_url(access: CaseAccess) -> str:
    return reverse("board", args=[access.case.public_id])
