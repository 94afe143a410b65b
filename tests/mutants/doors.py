"""Slips at the doors: access, forms, views, what stands round every request."""

from tests.mutants.row import Mutant, rows

ACCESS = "tests/horses/test_access.py"
ATTEMPT = "tests/horses/views/test_attempt.py"
LIMITS = "tests/lib/test_limits.py"
WRITES = "tests/caseboard/test_write_limits.py"
LIFE = "tests/horses/services/test_visit_life.py"

DOORS = (
    *rows(
        "caseboard/http/drafts.py",
        "tests/caseboard/test_drafts_received.py",
        Mutant(
            "a draft is taken under another person's sign-in",
            "if draft.person != request.user.public_id:",
            "if False:",
        ),
        Mutant(
            "a refusal said on the next page counts as accepted",
            "accepted = sends_on and (bool(said) or not refused)",
            "accepted = sends_on",
        ),
        Mutant(
            "a form with a mistake keeps its key",
            "            draft_not_accepted(request.user, draft.key)",
            "            pass",
        ),
    ),
    *rows(
        "horses/services/drafts.py",
        "tests/caseboard/test_drafts_received.py",
        Mutant(
            "a draft with other words is answered as the first one",
            "        if earlier.payload_hash != digest:",
            "        if False:",
        ),
    ),
    *rows(
        "caseboard/kept/pages.py",
        "tests/caseboard/kept/test_pages.py",
        Mutant("a phone keeps what opens a way in", "and _name(request) in KEPT", ""),
        Mutant(
            "a part is kept as if it were the page",
            '"HX-Request" not in request.headers',
            "True",
        ),
        Mutant("an answer to nobody does not say so", "response[PERSON_HEADER] = NOBODY", "pass"),
    ),
    *rows(
        "caseboard/kept/addresses.py",
        "tests/caseboard/kept/test_addresses.py",
        Mutant("forms are fetched that one may not send", " if may(access, right)]", "]"),
        Mutant("closed boards are fetched ahead", " if one.case.is_open]", "]"),
    ),
    *rows(
        "caseboard/views/board.py",
        "tests/caseboard/kept/test_addresses.py",
        Mutant(
            "what a phone fetches for later counts as read",
            "only_look=is_fetched_ahead(request)",
            "only_look=False",
        ),
    ),
    *rows(
        "horses/access.py",
        ACCESS,
        Mutant(
            "who has left may still do it",
            "if current is None or (current.role, current.runs_yard) != (access.role, access.runs_yard):",
            "if False:",
        ),
        Mutant(
            "who looks as another role may do what it does",
            "if access.own_role is not None:\n        raise",
            "if False:\n        raise",
        ),
        Mutant(
            "a preview shows more than one may see",
            "    if own_role is not None:\n        readable &=",
            "    if False:\n        readable &=",
            tests=("tests/caseboard/test_preview_as_role.py", ACCESS),
        ),
        Mutant(
            "what is careful asks for no fresh code",
            "if rule.asks_again and not (access.fresh or only_look):",
            "if False:",
            tests=("tests/horses/services/test_asks_again.py", ACCESS),
        ),
        Mutant(
            "a person who was put away is let in",
            "return person.is_authenticated and person.is_active",
            "return person.is_authenticated",
            tests=(ACCESS, "tests/horses/services/test_people_admin.py"),
        ),
        Mutant(
            "anybody looks as any role",
            'require(access, "case.look_as")',
            "pass",
            tests=("tests/caseboard/test_preview_as_role.py",),
        ),
        Mutant(
            "who writes is stored in the order of saying",
            "for role in THREE_AND_CARER if role in roles) +",
            "for role in roles) +",
        ),
    ),
    *rows(
        "horses/models/visit_life.py",
        LIFE,
        Mutant(
            "a visit that was missed is over for good",
            "VisitStatus.MISSED: {\n        VisitChange.WRITE_UP: VisitStatus.KEPT,",
            "VisitStatus.MISSED: {",
        ),
        Mutant(
            "a visit taken back counts as kept",
            "VisitStatus.VOIDED: Meaning(written_up=True, off=True)",
            "VisitStatus.VOIDED: Meaning(written_up=True)",
            tests=("tests/measurements/test_visit_void.py", LIFE),
        ),
        Mutant(
            "a cancelled visit can be moved",
            "    VisitStatus.CANCELLED: {},",
            "    VisitStatus.CANCELLED: {VisitChange.MOVE: VisitStatus.PLANNED},",
        ),
    ),
    *rows(
        "horses/views/attempt.py",
        ATTEMPT,
        Mutant(
            "a refusal stands beside no field",
            "refused.field if refused.field in form.fields else None",
            "None",
        ),
        Mutant("a form sent with other words keeps its key", "        form.renew_key()\n", ""),
        Mutant(
            "who lost a race can save no more",
            "            form.see(conflict.version)\n",
            "            pass\n",
            tests=(ATTEMPT, "tests/horses/views/test_conflict_pages.py"),
        ),
    ),
    *rows(
        "horses/forms/flag.py",
        "tests/horses/views/test_flags_pages.py",
        Mutant(
            "a flag without a word or sign is raised",
            'if not ticked and not data.get("words") and not self.errors:',
            "if False:",
        ),
        Mutant(
            "urgent signs come after the others",
            '[*data["urgent_signs"], *data["signs"]]',
            '[*data["signs"]]',
        ),
    ),
    *rows(
        "horses/forms/audience.py",
        "tests/horses/views/test_notes_pages.py",
        Mutant(
            "a correction is offered fewer readers",
            "held = [audience for audience in offered if roles <= audience.roles]",
            "held = [*offered]",
        ),
    ),
    *rows(
        "caseboard/http/write_limits.py",
        WRITES,
        Mutant("signing out is refused after many forms", "page in ALWAYS_TAKEN", "False"),
        Mutant("looking counts as writing", "if request.method in LOOKING or page", "if page"),
    ),
    *rows(
        "caseboard/lib/limits.py",
        LIMITS,
        Mutant("one more than the limit passes", "if count > limit:", "if count > limit + 1:"),
        Mutant(
            "a window never ends",
            "return (math.floor(now.timestamp() / window_s) + 1) * window_s",
            "return (math.floor(now.timestamp() / window_s) + 99) * window_s",
        ),
        Mutant(
            "addresses can be read in the table",
            'return _digest(f"{scope}\\n{key}").hex()',
            'return f"{scope}\\n{key}"[:60]',
        ),
    ),
)
