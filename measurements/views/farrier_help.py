"""Finding and keeping a farrier, shoes by what the horse does, and what is said of three shapes."""

from django.http import HttpResponse
from django.utils import timezone
from django.views.decorators.http import require_safe

from caseboard.lib import clock
from horses.access import access_get, require
from horses.accounts.request import SignedInRequest
from horses.domain import finding_farrier
from horses.domain.shoes_by_use import BY_USE, MATERIALS
from horses.queries.board import team_for
from horses.queries.visit_statistics import rhythm_for
from horses.views.page import case_page
from measurements.panels.shapes_told import WHOLE_HORSE, shapes_told
from measurements.queries.numbers import numbers_of


@require_safe
def farrier_help(request: SignedInRequest, case_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "case.see")
    horse = access.horse
    shown = {
        "where": finding_farrier.WHERE,
        "ask": finding_farrier.ASK,
        "keep": finding_farrier.KEEP,
        "stand_in": finding_farrier.STAND_IN,
        "punctual": finding_farrier.PUNCTUAL,
        "has_stand_in": any(member.stand_in for member in team_for(access)),
        "rhythm": rhythm_for(access),
        "for_this_horse": [one for one in BY_USE if horse.use in one.uses],
        "for_others": [one for one in BY_USE if horse.use not in one.uses],
        "materials": MATERIALS,
    }
    return case_page(request, access, "measurements/farrier_help.html", shown)


@require_safe
def shapes(request: SignedInRequest, case_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "case.see")
    numbers = numbers_of(access.horse, today=timezone.localtime(clock.now()).date())
    shown = {
        "shapes": shapes_told(numbers, length_unit=access.person.length_unit),
        "whole_horse": WHOLE_HORSE,
    }
    return case_page(request, access, "measurements/shapes.html", shown)
