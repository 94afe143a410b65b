"""Slips in what is done: services and the frame that they run in."""

from tests.mutants.row import Mutant, rows

PLAN = "tests/horses/services/test_plan.py"
FINGERPRINTS = "tests/horses/ledger/test_fingerprints.py"

WORD = "tests/horses/services/test_visit_word.py"
HELD = "tests/horses/services/test_held.py"

SERVICES = (
    *rows(
        "horses/services/sale_end.py",
        "tests/horses/yards/test_sales.py",
        Mutant(
            "a horse whose buyer left again is left without an owner",
            "    if owner_stays(sale):\n        _finish",
            "    if True:\n        _finish",
        ),
    ),
    *rows(
        "horses/access.py",
        WORD,
        Mutant(
            "who manages a yard loses their right on their day list",
            "    return _access(person, membership, membership.case)\n",
            "    return CaseAccess(person, membership.case, Role(membership.role))\n",
        ),
    ),
    *rows(
        "horses/services/visit_word.py",
        WORD,
        Mutant(
            "two who report one visit date two trims",
            "if not days or on in days:",
            "if days or not days:",
        ),
        Mutant(
            "a yes about a visit that took place makes another",
            "if named is None or not named.may_turn(VisitChange.REPORT):",
            "if named is None:",
        ),
        Mutant(
            "anybody takes back what another said",
            "return access.person.pk == visit.reported_by_id or by_role",
            "return True",
        ),
        Mutant("a wrong tap is undone for ever", "now - said <= UNDO_FOR", "now >= said"),
        Mutant(
            "one day is reported twice",
            "if before := _told_already(access.horse, kind, on):",
            "if before := '':",
        ),
    ),
    *rows(
        "horses/services/visit_vouch.py",
        WORD,
        Mutant("a vet confirms the farrier's work", "if access.role != by:", "if False:"),
        Mutant(
            "one tap puts a lost shoe back",
            "if words := one_tap_words(report):",
            "if words := '':",
        ),
    ),
    *rows(
        "horses/services/held.py",
        HELD,
        Mutant(
            "a holder asks whom they like",
            "if access.role != Role.OWNER and role != Role.OWNER:",
            "if False:",
        ),
        Mutant("who held a horse holds on", "holders.update(holds=False)", "pass"),
        Mutant(
            "a concern stays without its owner",
            "        _join_too(act, owner, case)\n",
            "        pass\n",
        ),
        Mutant(
            "what is kept of an owner is not erased",
            'contact.name, contact.phone, contact.erased_at = "", "", now',
            "contact.erased_at = now",
        ),
    ),
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
            "an item of another case is found by its id",
            ".filter(case=access.case, public_id=item_id)",
            ".filter(public_id=item_id)",
        ),
        Mutant(
            "who agrees to a therapeutic item is not asked again",
            'require(access, "plan.agree_therapeutic")',
            "pass",
            tests=(
                "tests/horses/services/test_plan.py",
                "tests/horses/views/test_plan_changes.py",
                "tests/horses/rules/test_set_alone.py",
                "tests/horses/services/test_every_service.py",
                "tests/horses/rules/test_set_alone.py",
            ),
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
            "what ended is ended again",
            "if item.status != PlanItem.Status.OPEN:",
            "if False:",
            tests=(
                "tests/horses/services/test_plan.py",
                "tests/horses/views/test_plan_changes.py",
                "tests/horses/rules/test_set_alone.py",
                "tests/horses/services/test_every_service.py",
                "tests/horses/rules/test_set_alone.py",
            ),
        ),
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
            'wanted = {"owner"} | set(frozen) | set(active)',
            'wanted = {"owner"} | set(active)',
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
        Mutant("a wish for a change counts as agreed", 'if "ask" in decisions:', "if False:"),
    ),
    *rows(
        "horses/services/deed.py",
        "tests/horses/services/test_every_service.py",
        Mutant(
            "a deed asks for no right",
            "        require(access, action, closed_too=closed_too)\n",
            "",
            tests=(
                "tests/horses/services/test_every_service.py",
                "tests/access/test_matrix.py",
            ),
        ),
        Mutant(
            "rows of a deed have no fingerprint in its line",
            "            rows=self._rows,\n",
            "",
            tests=("tests/horses/ledger/test_row_seals.py",),
        ),
        Mutant(
            "a form sent twice makes two things",
            "        if not self._key:\n            return None",
            "        return None",
            tests=("tests/horses/services/test_idempotency.py",),
        ),
        Mutant(
            "the key of a form leads nowhere",
            "if self._claimed is not None:",
            "if False:",
            tests=("tests/horses/services/test_idempotency.py",),
        ),
        Mutant(
            "no rule looks after a deed",
            "evaluation_enqueue(self.access.horse, now=self.now)",
            "pass",
            tests=(
                "tests/horses/services/test_every_service.py",
                "tests/horses/services/test_flags.py",
            ),
        ),
    ),
    *rows(
        "horses/services/idempotency.py",
        "tests/horses/services/test_idempotency.py",
        Mutant(
            "a key that was used takes other content",
            "if earlier.payload_hash != digest:",
            "if False:",
        ),
    ),
    *rows(
        "horses/services/visits.py",
        "tests/horses/services/test_visits.py",
        Mutant("a visit of a day to come is written up", "if kept_on > now.date():", "if False:"),
        Mutant(
            "a trim taken back is not made again",
            "if place in there and place not in stand",
            "if False",
            tests=(
                "tests/measurements/test_visit_void.py",
                "tests/measurements/test_visit_correct.py",
                "tests/measurements/test_readings_service.py",
            ),
        ),
        Mutant(
            "the farrier's own trim is taken back with a reading",
            "if trim is None or work.exists() or reports.exists():",
            "if trim is None or reports.exists():",
            tests=(
                "tests/measurements/test_readings_service.py",
                "tests/measurements/test_visit_void.py",
                "tests/measurements/test_visit_correct.py",
            ),
        ),
        Mutant(
            "a foot that was looked at counts as trimmed",
            "for done in work if done.trimmed}",
            "for done in work}",
        ),
    ),
    *rows(
        "horses/services/visit_planning.py",
        "tests/horses/services/test_visit_life.py",
        Mutant(
            "a day that has passed is planned",
            "if on < now.date():",
            "if False:",
            tests=(
                "tests/horses/services/test_visits.py",
                "tests/horses/services/test_visit_life.py",
                "tests/horses/views/test_visits_pages.py",
            ),
        ),
        Mutant(
            "one's own side confirms the day",
            "if side_of(visit.planned_by_role) == access.role:",
            "if False:",
            tests=(
                "tests/horses/services/test_visits.py",
                "tests/horses/services/test_visit_life.py",
                "tests/horses/views/test_visits_pages.py",
            ),
        ),
        Mutant(
            "a day that is moved stays confirmed",
            'visit.confirmed_at, visit.confirmed_name, visit.confirmed_role = None, "", ""',
            "pass",
            tests=(
                "tests/horses/services/test_visits.py",
                "tests/horses/services/test_visit_life.py",
                "tests/horses/queries/test_calendar_feed.py",
            ),
        ),
        Mutant(
            "a stand-in comes by default",
            "role=role, stand_in=False, left_at__isnull=True",
            "role=role, left_at__isnull=True",
            tests=(
                "tests/horses/services/test_visits.py",
                "tests/horses/services/test_visits_kept.py",
                "tests/horses/views/test_visits_pages.py",
            ),
        ),
    ),
    *rows(
        "horses/services/invitations.py",
        "tests/horses/services/test_invitations.py",
        Mutant(
            "an invitation is good for any address",
            "if invitation.email.casefold() != person.email.casefold():",
            "if False:",
        ),
        Mutant("an invitation is good for ever", "            expires_at__gt=now,\n", ""),
        Mutant(
            "an invitation that was revoked opens the door",
            "            revoked_at=None,\n            expires_at__gt=now",
            "            expires_at__gt=now",
        ),
        Mutant(
            "an old invitation to a closed case opens it",
            "            case__closed_at=None,\n        )\n        .select_related",
            "        )\n        .select_related",
        ),
        Mutant(
            "inviting again leaves the first one good", "open_ones.update(revoked_at=now)", "pass"
        ),
        Mutant(
            "the key of an invitation stands in the database",
            "token_hash=_hash(token_for(public_id))",
            "token_hash=token_for(public_id)",
        ),
    ),
    *rows(
        "horses/services/horses.py",
        "tests/horses/services/test_horses.py",
        Mutant(
            "a vet's order is changed by others",
            'if "interval_days" in changed and horse.interval_basis == Horse.Basis.VET:',
            "if False:",
            tests=(
                "tests/horses/services/test_horses.py",
                "tests/horses/views/test_interval_pages.py",
                "tests/horses/views/test_horse_forms.py",
            ),
        ),
        Mutant(
            "visits to a horse that is gone stay planned",
            "_planned_off(act, reason)",
            "pass",
            tests=(
                "tests/horses/services/test_horses.py",
                "tests/horses/services/test_visit_life.py",
                "tests/horses/views/test_horse_care_pages.py",
            ),
        ),
    ),
    *rows(
        "measurements/services/readings.py",
        "tests/measurements/test_readings_service.py",
        Mutant("a reading of a day to come is kept", "if taken_on > now.date():", "if False:"),
        Mutant("what cannot be is kept", "if verdict is RangeCheck.REFUSE:", "if False:"),
        Mutant(
            "what is unusual is kept unasked",
            "if verdict is RangeCheck.CONFIRM and not taken.confirmed_odd:",
            "if False:",
        ),
        Mutant(
            "one corrects the readings of others",
            "if old.recorded_by_id != access.person.pk:",
            "if False:",
        ),
        Mutant(
            "a value between trims dates a trim",
            "for r in readings if r.trim_state != TrimState.BETWEEN}",
            "for r in readings}",
        ),
        Mutant(
            "a reading of another horse is found by its id",
            "Reading.objects.filter(horse=access.horse, public_id=reading_id)",
            "Reading.objects.filter(public_id=reading_id)",
        ),
        Mutant(
            "a reading taken off keeps its trim",
            "    return trim_take_back(horse, foot, on, now=now)",
            "    return []",
        ),
    ),
    *rows(
        "measurements/services/targets.py",
        "tests/measurements/test_targets_service.py",
        Mutant(
            "a farrier sets a band in the place of the vet's",
            "if _replaces_therapeutic(access.horse, band, now.date()):",
            "if False:",
        ),
        Mutant(
            "a band is upside down",
            "if band.low is not None and band.high is not None and band.low >= band.high:",
            "if False:",
        ),
        Mutant(
            "two who set a band overwrite each other",
            "_nobody_set_it_since(access.horse, band, seen_id)",
            "pass",
        ),
    ),
)
