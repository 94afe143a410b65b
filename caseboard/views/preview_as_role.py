"""The board as a role sees it, to look at only: what is for whom can be seen, not only believed."""

from django.http import Http404, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from caseboard.board import board_for
from caseboard.case_reading import CaseReading
from caseboard.glance.screen import first_screen
from caseboard.lib import clock
from caseboard.lib.spans import counted, one_or
from horses.access import Role, access_get, looking_as, may
from horses.accounts.request import SignedInRequest
from horses.domain.wording import readers_short
from horses.queries.board import notes_for


@require_safe
def look_as(request: SignedInRequest, case_id: str, role: str) -> HttpResponse:
    """Never more than the person sees who looks: what both may read, and nothing to press."""
    access = access_get(request.user, case_id)
    if role not in Role.values:
        raise Http404("no such role")
    looking = looking_as(access, Role(role))
    now = clock.now()
    reading = CaseReading(looking, now)
    shown_ids = set(reading.notes.values_list("pk", flat=True))
    hidden = [note for note in notes_for(access) if note.pk not in shown_ids]
    held = {member.role for member in reading.team}
    board = board_for(reading, seen_seq=0)
    context = {
        "board": board,
        "first": first_screen(board, reading.numbers),
        "now": now,
        "look": {
            "role": Role(role),
            "own": access.role == role,
            "nobody": role not in held,
            "hidden_words": (
                f"{counted(len(hidden), 'note')} that you read {one_or(len(hidden), 'is', 'are')}"
            ),
            "hidden": [(note, readers_short(note.audience_roles)) for note in hidden],
            "others": [
                other
                for other in Role
                if other != role and (other == access.role or may(access, "case.look_as"))
            ],
        },
    }
    return render(request, "caseboard/look.html", context)
