"""Slips in what is done: services and the frame that they run in."""

from tests.mutants.row import Mutant, rows

PLAN = "tests/horses/services/test_plan.py"
FINGERPRINTS = "tests/horses/ledger/test_fingerprints.py"

SERVICES = (
    *rows(
        "horses/services/notes.py",
        "tests/horses/services/test_notes.py",
        Mutant("a note may be written to others only", "access.role not in roles", "False"),
        Mutant(
            "a correction goes to fewer readers",
            "if not set(note.audience_roles) <= audience:",
            "if False:",
            tests=("tests/horses/services/test_notes.py", "tests/horses/views/test_notes_pages.py"),
        ),
        Mutant(
            "one corrects the notes of others",
            "case=access.case, author=access.person)",
            "case=access.case)",
        ),
    ),
    *rows(
        "horses/services/plan.py",
        PLAN,
        Mutant(
            "the fingerprint of every plan version changes unnoticed",
            '"item": number, "version": version, **fields',
            '"number": number, "version": version, **fields',
            tests=(FINGERPRINTS,),
        ),
        Mutant(
            "every plan version's fingerprint holds the emergency",
            "if not content.emergency:\n        del fields",
            "if False:\n        del fields",
            tests=(FINGERPRINTS,),
        ),
        Mutant(
            "one person's word stands for words that were changed",
            "if version.content_hash != seen_hash:",
            "if False:",
        ),
        Mutant(
            "two editors overwrite each other", "if current.number != seen_version:", "if False:"
        ),
        Mutant(
            "an edit that changes nothing voids agreements",
            "if content_hash(item.case, item.number, current.number, content) == current.content_hash:",
            "if False:",
        ),
        Mutant(
            "a farrier changes a therapeutic item",
            "if current.therapeutic or content.therapeutic:",
            "if content.therapeutic:",
        ),
        Mutant(
            "a no comes without a reason",
            "if decision != Agreement.Decision.AGREE and not reason.strip():",
            "if False:",
        ),
        Mutant(
            "the same word twice is two words",
            "if last is not None and (last.decision, last.reason) == (decision, reason):",
            "if False:",
        ),
        Mutant(
            "an item that ended is agreed to",
            "    if item.status != PlanItem.Status.OPEN:\n        words",
            "    if False:\n        words",
        ),
        Mutant(
            "words of a band are changed without its numbers",
            "if current.target is not None and not with_numbers:",
            "if False:",
            tests=(
                PLAN,
                "tests/measurements/test_targets_service.py",
                "tests/horses/views/test_plan_changes.py",
            ),
        ),
        Mutant(
            "an emergency item may be set without saying why",
            'if not content.reason.strip():\n        raise DeedRefused("Say why it cannot',
            'if False:\n        raise DeedRefused("Say why it cannot',
            tests=(
                PLAN,
                "tests/horses/views/test_plan_answers.py",
                "tests/horses/services/test_two_vets.py",
                "tests/horses/rules/test_set_alone.py",
            ),
        ),
        Mutant(
            "an item of another case is found by its id",
            ".filter(case=access.case, public_id=item_id)",
            ".filter(public_id=item_id)",
        ),
        Mutant(
            "an emergency is told like any other change",
            "body=body, urgent=version.emergency",
            "body=body",
            tests=("tests/horses/rules/test_set_alone.py", PLAN),
        ),
        Mutant(
            "who agrees to a therapeutic item is not asked again",
            'require(access, "plan.agree_therapeutic")',
            "pass",
            tests=("tests/horses/services/test_asks_again.py", PLAN),
        ),
    ),
    *rows(
        "horses/services/plan_end.py",
        PLAN,
        Mutant(
            "another role's job is marked as done",
            "if not (withdrawing or version.therapeutic or access.role == side_of(version.who_does)):",
            "if False:",
        ),
        Mutant(
            "who has not proposed it withdraws it",
            "if withdrawing and access.role != version.proposed_role:",
            "if False:",
        ),
        Mutant(
            "a farrier finishes a therapeutic item",
            "if version.therapeutic and access.role != Role.VET:",
            "if False:",
        ),
        Mutant(
            "an item is withdrawn without a reason",
            "if withdrawing and not reason.strip():",
            "if False:",
        ),
        Mutant("what ended is ended again", "if item.status != PlanItem.Status.OPEN:", "if False:"),
        Mutant(
            "words that were changed are marked as done",
            "if seen is not None and version.number != seen:",
            "if False:",
            tests=(
                PLAN,
                "tests/horses/views/test_plan_pages.py",
                "tests/horses/views/test_conflict_pages.py",
                "tests/horses/views/test_plan_changes.py",
            ),
        ),
        Mutant(
            "the same form twice ends it twice",
            "if (item.status, item.status_reason) == (status, reason):",
            "if False:",
        ),
    ),
    *rows(
        "horses/services/plan_agreement.py",
        PLAN,
        Mutant(
            "that all agreed is written again and again",
            "if after.is_agreed and not before.is_agreed:",
            "if after.is_agreed:",
        ),
        Mutant(
            "that all agreed is never written",
            "if after.is_agreed and not before.is_agreed:",
            "if False:",
        ),
    ),
    *rows(
        "horses/domain/agreement.py",
        "tests/horses/domain/test_agreement.py",
        Mutant(
            "an item that nobody must agree to is agreed",
            "return bool(self.marks) and not self.missing",
            "return not self.missing",
        ),
        Mutant(
            "a no is outvoted within its role",
            'if "decline" in decisions:',
            'if decisions == ["decline"]:',
        ),
        Mutant(
            "who left is not asked for",
            "wanted = set(frozen) | set(active)",
            "wanted = set(active)",
        ),
        Mutant("a therapeutic item needs no vet", ' | ({"vet"} if therapeutic else set())', ""),
        Mutant(
            "the first word of a person counts",
            "for word in words}",
            "for word in reversed(list(words))}",
        ),
        Mutant(
            "what the vet set alone outlives a no",
            'emergency and "declined" not in state.marks.values()',
            "emergency",
        ),
        Mutant(
            "a carer speaks for nobody",
            'return "owner" if role == "carer" else role',
            "return role",
            tests=(
                "tests/horses/domain/test_agreement.py",
                PLAN,
                "tests/horses/test_access.py",
                "tests/horses/views/test_plan_pages.py",
            ),
        ),
        Mutant("a wish for a change counts as agreed", 'if "ask" in decisions:', "if False:"),
    ),
)
