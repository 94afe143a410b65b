"""The side of the load that sees the database: sessions beforehand, the count afterwards.

Run as processes of their own, with the settings of the installation under load:
`python -m tests.bench.load_inside sessions|check|pages` reads and writes JSON.
"""

import json
import os
import sys
import time
from collections import Counter
from datetime import datetime
from typing import Any

import django


def sessions(asked: dict[str, Any]) -> dict[str, Any]:
    """Boards to work on, each with a signed-in browser for its owner, farrier and vet."""
    from horses.models import Case, Membership

    cases = list(Case.objects.filter(kind="routine").select_related("horse").order_by("pk"))
    step = max(1, len(cases) // asked["boards"])
    chosen = cases[::step][: asked["boards"]]
    signed: dict[int, str] = {}
    boards = []
    for case in chosen:
        people: dict[str, Any] = {}
        for member in Membership.objects.filter(case=case, left_at=None).order_by("pk"):
            people.setdefault(member.role, member.person)
        for person in people.values():
            if person.pk not in signed:
                signed[person.pk] = signed_in(person)
        trims = case.horse.trims.filter(visit__work__shoe="reset")
        boards.append(
            {
                "case": case.public_id,
                "sessions": {role: signed[who.pk] for role, who in people.items()},
                **_waiting(case),
                "shod": trims.exists(),
            }
        )
    manager = Membership.objects.filter(case=chosen[0], role="owner").order_by("-pk")[0].person
    return {"boards": boards, "manager": signed_in(manager)}


def _waiting(case: Any) -> dict[str, Any]:
    """The item that waits, and the roles that have said nothing to it."""
    from horses.models import Agreement, PlanItem

    item = PlanItem.objects.get(case=case, number=2)
    said = set(Agreement.objects.filter(version__item=item).values_list("role", flat=True))
    return {"item": item.public_id, "waits_for": sorted({"owner", "vet"} - said)}


def signed_in(person: Any) -> str:
    from django.conf import settings

    from caseboard.lib import clock
    from horses.accounts.session_store import SIGNED_IN_AT, SessionStore

    store = SessionStore()
    store["_auth_user_id"] = str(person.pk)
    store["_auth_user_backend"] = settings.AUTHENTICATION_BACKENDS[0]
    store["_auth_user_hash"] = person.get_session_auth_hash()
    store[SIGNED_IN_AT] = clock.now().isoformat()
    store.create()
    return str(store.session_key)


def check(asked: dict[str, Any]) -> dict[str, Any]:
    """Whether every acknowledged write is there exactly once, and nothing else; the work done."""
    from horses.ledger.verify import broken_lines
    from horses.models import Case, Job

    began = time.monotonic()
    while Job.objects.filter(kind__in=DONE_SOON).exists():
        if time.monotonic() - began > asked["settle_s"]:
            break
        time.sleep(0.5)
    settled_s = round(time.monotonic() - began, 1)
    since = datetime.fromisoformat(asked["since"])
    wanted: dict[str, Counter[tuple[str, str]]] = {kind: Counter() for kind in KINDS}
    for one in asked["acknowledged"]:
        wanted[one["kind"]][one["case"], one["text"]] += 1
    lost, doubled = 0, 0
    for kind, found in found_since(since).items():
        lost += (wanted[kind] - found).total()
        doubled += (found - wanted[kind]).total()
    touched = {one["case"] for one in asked["acknowledged"]}
    return {
        "acknowledged": {kind: count.total() for kind, count in wanted.items()},
        "lost": lost,
        "there_without_a_word_or_twice": doubled,
        "keys_without_their_thing": keys_missing(asked["acknowledged"]),
        "flags_not_told_to_all": flags_not_told(since),
        "broken_history_lines": sum(
            len(list(broken_lines(case))) for case in Case.objects.filter(public_id__in=touched)
        ),
        "boards_written_on": len(touched),
        "work_set_aside": Job.objects.exclude(set_aside_at=None).count(),
        "work_left": Job.objects.filter(kind__in=DONE_SOON).count(),
        "work_was_done_after_s": settled_s,
    }


KINDS = ("reading", "note", "flag", "visit", "agree")
DONE_SOON = ("horse.judge", "notice.mail")  # other kinds may wait for a day that is to come


def found_since(since: datetime) -> dict[str, Counter[tuple[str, str]]]:
    """Everything people wrote since the load began, in the terms of what was acknowledged."""
    from horses.models import Agreement, Flag, Note, Visit
    from measurements.models import Reading

    readings = Reading.objects.filter(recorded_at__gte=since, visit=None)
    words = Agreement.objects.filter(decided_at__gte=since)
    return {
        "reading": Counter(readings.values_list("horse__cases__public_id", "entered_text")),
        "note": Counter(
            Note.objects.filter(written_at__gte=since).values_list("case__public_id", "body")
        ),
        "flag": Counter(
            Flag.objects.filter(raised_at__gte=since).values_list("case__public_id", "words")
        ),
        "visit": Counter(
            Visit.objects.filter(recorded_at__gte=since, status="kept").values_list(
                "case__public_id", "words"
            )
        ),
        "agree": Counter(
            (case, f"{item} {role}")
            for case, item, role in words.values_list(
                "version__item__case__public_id", "version__item__public_id", "role"
            )
        ),
    }


def keys_missing(acknowledged: list[dict[str, str]]) -> int:
    """How many acknowledged forms have no thing under their key."""
    from horses.models import IdempotencyKey

    sent = {one["key"] for one in acknowledged if one["key"]}
    kept = set(IdempotencyKey.objects.exclude(result="").values_list("key", flat=True))
    return len(sent - kept)


def flags_not_told(since: datetime) -> int:
    """Flags of which not everybody else on the board has exactly one notice in the app."""
    from horses.models import Flag, Membership, Notice

    wrong = 0
    for flag in Flag.objects.filter(raised_at__gte=since):
        others = Membership.objects.filter(case=flag.case_id, left_at=None)
        told = Notice.objects.filter(event=f"flag.raised:{flag.public_id}", channel="app")
        expected = others.exclude(person=flag.raised_by_id).values_list("person", flat=True)
        wrong += sorted(told.values_list("person", flat=True)) != sorted(expected)
    return wrong


def pages(asked: dict[str, Any]) -> dict[str, int]:
    """The queries of each page, sign-in included, as the largest account sees it."""
    from tests.bench.load_queries import page_queries

    return page_queries()


def main() -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "caseboard.settings")
    django.setup()
    asked = json.loads(sys.stdin.read() or "{}")
    print(json.dumps({"sessions": sessions, "check": check, "pages": pages}[sys.argv[1]](asked)))


if __name__ == "__main__":
    main()
