"""Which pages a phone may keep for reading without a connection, and how its answers say so.

Decided 2026-11-29: answers to a signed-in person stay `no-store` for the browser and for whatever
stands between; the shelf of our own service worker (`static/js/worker/`) is the one exception. It is
emptied at a sign-out, when the server says that nobody or somebody else is signed in, and 14 days
after the last contact. Each answer names its person (`X-Person`), so that the worker need not read
a cookie, and so that a page of a network's own sign-in is never taken for ours. Only pages named here
are kept (`X-Keep`); a test asks for a word about every address. The road not taken: `Clear-Site-Data`
at the sign-out, which would throw away the urgent page and what somebody typed as well.
"""

from datetime import date

from django.http import HttpRequest
from django.http.response import HttpResponseBase

from caseboard.lib.fetched_ahead import is_fetched_ahead

PERSON_HEADER, KEEP_HEADER = "X-Person", "X-Keep"
NOBODY = "nobody"

KEPT = frozenset(
    """
    horses round daily_look day_stop notices yard waiting
    board history foot series shapes farrier_help worksheet young show_check team
    visits visit_new visit_plan was_here readings_new reading_correct target_new
    flag_new flag lost_shoe shoe_back note_new exam_new exam stance_new weight_new
    plan_new plan_item plan_change alert
    picture pictures picture_new picture_file picture_small then_and_now points_shown
    """.split()  # noqa: SIM905  (a list of names reads better so)
)
# Not kept: the ways in and whatever opens one (codes, passkeys, invitations, links, the calendar's
# private address), the list of sign-ins, copies and papers, and what is only done with a connection.


def keep_marked(request: HttpRequest, response: HttpResponseBase, *, today: date) -> None:
    """Says whose answer this is, and whether that person's phone may keep it: by the day it is of."""
    if not request.user.is_authenticated:
        response[PERSON_HEADER] = NOBODY
        return
    response[PERSON_HEADER] = request.user.public_id
    if response.status_code == 200 and _is_looked_at_whole(request) and _name(request) in KEPT:
        response[KEEP_HEADER] = today.isoformat()


def is_for_nothing(request: HttpRequest) -> bool:
    """A page asked for by a phone that may not keep it. Opening it may do something: the page that
    adds a passkey makes a new challenge, and the one in front of the person would be refused."""
    return is_fetched_ahead(request) and _name(request) not in {*KEPT, "shelf"}


def _is_looked_at_whole(request: HttpRequest) -> bool:
    return request.method == "GET" and "HX-Request" not in request.headers


def _name(request: HttpRequest) -> str:
    return request.resolver_match.view_name if request.resolver_match else ""
