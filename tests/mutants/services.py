"""Slips in what is done: services and the frame that they run in."""

from tests.mutants.row import Mutant, rows

PLAN = "tests/horses/services/test_plan.py"
FINGERPRINTS = "tests/horses/ledger/test_fingerprints.py"

WORD = "tests/horses/services/test_visit_word.py"
HELD = "tests/horses/services/test_held.py"

SERVICES = (
    *rows(
        "horses/services/visit_word.py",
        WORD,
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
    *rows(
        "horses/services/deed.py",
        "tests/horses/services/test_every_service.py",
        Mutant(
            "a deed asks for no right",
            "        require(access, action, closed_too=closed_too)\n",
            "",
            tests=("tests/horses/services/test_cases.py", PLAN),
        ),
        Mutant(
            "rows of a deed have no fingerprint in its line",
            "            rows=self._rows,\n",
            "",
            tests=("tests/horses/ledger/test_row_seals.py",),
        ),
        Mutant(
            "the rows of one line come again with the next",
            "        self._rows = []\n\n    def tell",
            "\n    def tell",
            tests=("tests/horses/ledger/test_row_seals.py", PLAN),
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
            "what the board does is said of a person",
            "actor=None if by_board else self.access.person",
            "actor=self.access.person",
            tests=(
                PLAN,
                "tests/horses/presenters/test_history_sentences.py",
                "tests/horses/views/test_history_pages.py",
            ),
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
        Mutant(
            "the same content makes another kind of thing",
            '{**payload, "makes": stored_label(model)}',
            "dict(payload)",
        ),
    ),
    *rows(
        "horses/services/visits.py",
        "tests/horses/services/test_visits.py",
        Mutant("a visit of a day to come is written up", "if kept_on > now.date():", "if False:"),
        Mutant(
            "the next visit may be before this one",
            "if next_on is not None and next_on <= kept_on:",
            "if False:",
        ),
        Mutant(
            "a trim taken back is not made again",
            "if not Trim.objects.in_force().filter(pk=trim.pk).exists():",
            "if False:",
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
            "        if done.trimmed:\n",
            "        if True:\n",
        ),
        Mutant(
            "a visit settles no lost shoe",
            "losses_settle(act, visit, [done.foot for done in work])",
            "pass",
            tests=("tests/horses/services/test_shoes.py",),
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
            "if visit.planned_by_role == access.role:",
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
            "writing up moves a day that is booked",
            "if stands and not moves:",
            "if False:",
            tests=(
                "tests/horses/services/test_visits_kept.py",
                "tests/measurements/test_visit_next_pages.py",
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
        Mutant(
            "who left is named for the visit",
            "            left_at__isnull=True,\n            role=ROLE_OF",
            "            role=ROLE_OF",
            tests=(
                "tests/horses/services/test_visits.py",
                "tests/horses/services/test_visits_kept.py",
                "tests/horses/views/test_visits_pages.py",
                "tests/horses/views/test_conflict_pages.py",
            ),
        ),
        Mutant(
            "any examination is the planned vet visit",
            "abs((visit.planned_on - on).days) > SAME_VISIT",
            "False",
            tests=(
                "tests/horses/services/test_exams.py",
                "tests/horses/services/test_visits.py",
                "tests/horses/services/test_visits_kept.py",
                "tests/horses/services/test_exam_correct.py",
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
        Mutant("a vet can be a stand-in", "if stand_in and role != Role.FARRIER:", "if False:"),
        Mutant(
            "who is on the team is invited again",
            'raise DeedRefused(f"{address} is on the team already.", field="email")',
            "pass",
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
        Mutant(
            "two who edit a horse overwrite each other",
            "version_check(access, horse, version, mine=_plain(given), theirs=_plain(theirs))",
            "pass",
            tests=(
                "tests/horses/services/test_horses.py",
                "tests/horses/services/test_interleavings.py",
            ),
        ),
        Mutant(
            "any field of a horse can be set",
            "        given = {k: v for k, v in fields.items() if k in EDITABLE}",
            "        given = dict(fields)",
            tests=("tests/horses/services/test_horses.py",),
        ),
        Mutant(
            "the usual weeks are somebody's word",
            'if fields.get("interval_days", usual) == usual:',
            "if False:",
            tests=(
                "tests/horses/services/test_horses.py",
                "tests/horses/domain/test_trim_cycle.py",
                "tests/horses/views/test_interval_pages.py",
                "tests/horses/views/test_horse_form_pages.py",
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
            "a tape measures an angle",
            "if Method(taken.method) not in quantity.methods:",
            "if False:",
        ),
        Mutant(
            "one corrects the readings of others",
            "if old.recorded_by_id != access.person.pk:",
            "if False:",
        ),
        Mutant("a reading is corrected without a reason", "if not reason.strip():", "if False:"),
        Mutant(
            "a value between trims dates a trim", "if taken.trim_state != TrimState.BETWEEN}", "}"
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
        Mutant(
            "a correction is of the day it was made",
            "                taken_on=old.taken_on,\n                visit=old.visit,\n                taken_by=old.taken_by,",
            "                taken_on=now.date(),\n                visit=old.visit,\n                taken_by=old.taken_by,",
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
        Mutant("a band has no end at all", "    if not edges:", "    if False:"),
        Mutant("a band has no reason", "if not band.reason.strip():", "if False:"),
        Mutant(
            "two who set a band overwrite each other",
            "_nobody_set_it_since(access.horse, band, seen_id)",
            "pass",
        ),
        Mutant(
            "a band is of a quantity no horse has",
            "if not all(quantity.possible_low <= edge <= quantity.possible_high for edge in edges):",
            "if False:",
        ),
    ),
)
