"""One alert: its numbers, who has seen it, who has answered."""

from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_http_methods

from caseboard.lib import clock
from caseboard.lib.flash_saved import saved
from horses.access import CaseAccess, access_get, require
from horses.accounts.request import SignedInRequest
from horses.forms.alert import AlertAnswerForm
from horses.models import Alert, AlertResponse, Foot
from horses.presenters.alert_evidence import evidence_shown
from horses.presenters.alert_words import asked_words, since_words
from horses.queries.alert_quiet import QUIET_FOR, next_visit_on
from horses.queries.alerts import board_alerts, matter_with
from horses.queries.board import team_for
from horses.queries.flags import others_on
from horses.services.alerts import alert_answer, alert_get, alert_see, matter_of
from horses.views.attempt import attempt
from horses.views.page import board_url, case_page


@require_http_methods(["GET", "POST"])
def alert(request: SignedInRequest, case_id: str, alert_id: str) -> HttpResponse:
    access = access_get(request.user, case_id)
    require(access, "case.see")
    found = alert_get(access, alert_id)
    if request.method != "POST":
        return _alert_page(request, access, found, _form(access, found))
    if request.POST.get("act") == "seen":
        return _seen(request, access, found)
    require(access, "alert.answer")
    return _answer(request, access, found, _form(access, found, request.POST))


def _form(access: CaseAccess, found: Alert, data: QueryDict | None = None) -> AlertAnswerForm:
    today = clock.now().date()
    planned = next_visit_on(access.horse, today)
    words = asked_words(access, found, planned=planned is not None)
    return AlertAnswerForm(
        data, today=today, default=planned or today + QUIET_FOR, quiet_words=words
    )


def _seen(request: HttpRequest, access: CaseAccess, found: Alert) -> HttpResponse:
    require(access, "alert.see")
    alert_see(access=access, alert_id=found.public_id, now=clock.now())
    saved(request, "Marked as seen by you.")
    return redirect(f"{board_url(access)}#now")


def _answer(
    request: HttpRequest, access: CaseAccess, found: Alert, form: AlertAnswerForm
) -> HttpResponse:
    if not form.is_valid():
        return _alert_page(request, access, found, form, status=422)
    answer = attempt(
        form,
        lambda: alert_answer(
            access=access,
            alert_id=found.public_id,
            words=form.cleaned_data["words"],
            until_on=form.cleaned_data["until_on"],
            client_key=form.key,
            now=clock.now(),
        ),
    )
    if answer.made is None:
        return _alert_page(request, access, found, form, status=answer.status)
    saved(request, "Saved. Read by the whole team.", keep=_keep(found))
    return redirect("alert", access.case.public_id, found.public_id)


def _keep(found: Alert) -> str:
    return f"alert-{found.public_id}"


def _alert_page(
    request: HttpRequest,
    access: CaseAccess,
    found: Alert,
    form: AlertAnswerForm,
    *,
    status: int = 200,
) -> HttpResponse:
    words = list(found.words.filter(case=access.case).select_related("person").order_by("pk"))
    today = found.now_evidence if found.now_evidence != found.evidence else None
    seen = {word.person_id: word for word in words if word.kind == AlertResponse.Kind.SEEN}
    card = matter_with(board_alerts(access, today=clock.now().date()), found)
    context = {
        "alert": found,
        "with_it": matter_of(access, found)[1:],
        "since": since_words(found),
        "state": card.state if card else "",
        "first": evidence_shown(found.evidence, access.person),
        "today": evidence_shown(today, access.person) if today else None,
        "seen": seen.values(),
        "answers": [word for word in words if word.kind == AlertResponse.Kind.ANSWERED],
        "seen_by_me": access.person.pk in seen and (card is None or card.seen),
        "about_url": about_url(access, found),
        "about_words": about_words(found),
        "form": form,
        "readers": others_on(access, team_for(access)),
        "keep": _keep(found),
    }
    return case_page(request, access, "horses/alert.html", context, status=status)


def about_words(found: Alert) -> str:
    """What the link to it says."""
    if found.rule == "plan.unconfirmed":
        return "To the plan"
    kinds = {"flag": "To the flag", "plan": "To the plan item", "visit": "Plan the visit"}
    return kinds.get(found.rule.partition(".")[0], "The chart and all readings")


def about_url(access: CaseAccess, found: Alert) -> str:
    """The page of what the alert is about: a series, a flag, the next visit; empty for none."""
    case = access.case.public_id
    if found.rule.startswith("flag."):
        return reverse("flag", args=[case, found.subject])
    if found.rule == "plan.unconfirmed":  # it is about several items of this board
        return reverse("board", args=[case]) + "#plan"
    if found.rule.startswith("plan."):
        return reverse("plan_item", args=[case, found.subject])
    if found.rule.startswith("visit."):
        return reverse("visit_plan", args=[case])
    foot, _, rest = found.subject.partition(":")
    quantity = rest.partition(":")[0] or found.evidence.get("lead") or ""
    if foot in Foot.values and quantity:
        return reverse("series", args=[case, foot, quantity])
    return ""
