"""Slips in what is read."""

from tests.mutants.row import Mutant, rows

DAY_LIST = "tests/caseboard/test_day_list.py"
FILTERS = "tests/horses/queries/test_herd_filters.py"
WAITING = "tests/horses/queries/test_herd_waiting.py"
QUIET = "tests/horses/rules/test_alert_quiet.py"
SHOES = "tests/horses/services/test_shoes.py"

QUERIES = (
    *rows(
        "horses/queries/shoes.py",
        SHOES,
        Mutant(
            "words of another board of the horse go along with a shoe",
            'change.words = ""',
            "pass",
            tests=("tests/horses/queries/test_shoe_words.py",),
        ),
        Mutant("a foot seen to before the loss counts", "(e.on, e.at) > at[e.foot]", "True"),
        Mutant("another loss counts as seen to", "if e.kind != LOST and e.foot", "if e.foot"),
        Mutant(
            "a shoe that was pulled is still on",
            "row.shoe != FootWork.Shoe.PULLED",
            "True",
            tests=("tests/measurements/test_visit_correct.py",),
        ),
        Mutant(
            "what a visit taken back did to a shoe still counts",
            "work = FootWork.objects.in_force().filter(visit__horse__in=ids)",
            "work = FootWork.objects.filter(visit__horse__in=ids)",
            tests=("tests/measurements/test_visit_void.py",),
        ),
    ),
    *rows(
        "measurements/queries/repeats.py",
        "tests/measurements/test_own_error.py",
        Mutant("a reading's own error is forgotten", " if reading.sd is None else ", " or "),
    ),
    *rows(
        "horses/queries/other_boards.py",
        "tests/horses/queries/test_other_boards.py",
        Mutant("boards held in another role are offered", "role=access.role, ", ""),
        Mutant("closed boards are offered", ", case__closed_at=None", ""),
    ),
    *rows(
        "horses/queries/day_list.py",
        DAY_LIST,
        Mutant(
            "owners who left stay on the day list with their phone",
            "list(filter(_is_on, found.members[stop.case.pk]))",
            "found.members[stop.case.pk]",
        ),
        Mutant(
            "a stand-in is sent to horses that nobody asked them for",
            " and by_then and not access.stand_in:",
            " and by_then:",
        ),
        Mutant(
            "a paused horse is on the round", "if horse.state != Horse.State.ACTIVE:", "if False:"
        ),
        Mutant(
            "a day that is somebody else's is on the round",
            "visit.planned_for_id in (None, person.pk)",
            "True",
        ),
        Mutant("a day that passed unwritten is forgotten", " or on < today <= last", ""),
        Mutant(
            "a vet is sent to trims that are due", "kind == Visit.Kind.FARRIER and visit", "visit"
        ),
        Mutant(
            "a report stands on the day as if whoever came had written it up",
            'return visit.word_of if visit.is_reported else "done"',
            'return "done"',
        ),
        Mutant("a day long past is not asked about on the round", "visit = question", "pass"),
        Mutant("items that not all agreed to are to be done", "if all_agree:", "if True:"),
        Mutant(
            "a plan of another board goes on the round",
            "cases = [case for case, team in members.items() if team[0].case.horse_id in horses]",
            'cases = set(Case.objects.filter(horse__in=horses).values_list("pk", flat=True))',
        ),
        Mutant(
            "trims taken back count on the round",
            "trims = Trim.objects.in_force()",
            "trims = Trim.objects",
            tests=("tests/measurements/test_visit_void.py",),
        ),
    ),
    *rows(
        "horses/queries/herd.py",
        FILTERS,
        Mutant(
            "trims taken back count in the herd",
            "trims = Trim.objects.in_force()",
            "trims = Trim.objects",
            tests=("tests/measurements/test_visit_void.py",),
        ),
        Mutant(
            "alerts of boards that one is not on count in the herd",
            "mine = Q(horse__cases__memberships__person=person)",
            "mine = Q()",
            tests=("tests/horses/rules/test_alert_elsewhere.py", FILTERS),
        ),
        Mutant("flags for now do not come first", 'if flags["now"]:', "if False:"),
        Mutant(
            "calm horses stand by name alone",
            "line.rank in range(ALERTS, PAUSED) and line.due.on is not None",
            "False",
        ),
        Mutant("a paused horse is late", "return active and (", "return ("),
        Mutant(
            "items of a horse that was sold wait for a word",
            "waiting.exclude(item__case__horse__state=Horse.State.ENDED)",
            "waiting",
            tests=(WAITING,),
        ),
        Mutant(
            "an older version waits for a word",
            "~Exists(later), item__status",
            "item__status",
            tests=(WAITING,),
        ),
        Mutant(
            "my own reply asks me again",
            "Exists(replies.exclude(person=person))",
            "Exists(replies)",
            tests=(WAITING,),
        ),
        Mutant(
            "items of closed boards wait",
            "role__in=AGREEING_ROLES, case__closed_at=None",
            "role__in=AGREEING_ROLES",
            tests=(WAITING,),
        ),
    ),
    *rows(
        "horses/queries/herd_filter.py",
        FILTERS,
        Mutant("a late horse is not due", " or line.is_late,", ","),
        Mutant("calm horses rest", "line.rank > CALM", "line.rank >= CALM"),
    ),
    *rows(
        "horses/queries/alert_quiet.py",
        QUIET,
        Mutant(
            "an answer holds a day too long",
            "Q(until_on__gte=today)",
            "Q(until_on__gte=today - timedelta(days=1))",
        ),
        Mutant(
            "an answer's last day is not kept",
            "Q(until_on__gte=today)",
            "Q(until_on__gt=today)",
            tests=(
                "tests/horses/rules/test_alert_quiet.py",
                "tests/horses/rules/test_alert_elsewhere.py",
                "tests/caseboard/test_board.py",
                "tests/caseboard/glance/test_rows.py",
                "tests/horses/rules/test_alert_life_machine.py",
            ),
        ),
        Mutant(
            "an answer quiets what has got worse since",
            "still_holds(today), no_worse(), alert",
            "still_holds(today), alert",
        ),
        Mutant(
            "a stand-in's answer quiets it for the farrier",
            "Q(stand_in=False) | Q(person=person)",
            "Q()",
        ),
        Mutant(
            "an answer on another board of the horse counts for its whole team",
            "(Q(case=board) | Q(person=person))",
            "Q()",
            tests=("tests/horses/rules/test_alert_elsewhere.py", QUIET),
        ),
        Mutant(
            "a danger is quiet without a vet",
            "Q(Exists(own)) & (Q(danger=False) | Q(Exists(vets)))",
            "Q(Exists(own))",
        ),
        Mutant(
            "a carer hears only carers",
            "return Role.OWNER if role == Role.CARER else role",
            "return role",
        ),
        Mutant(
            "alerts of a board that one is not on count for who is on another",
            'there = Q(case=None) | Q(case=F("horse__cases"))',
            "there = Q()",
            tests=("tests/horses/rules/test_alert_elsewhere.py", QUIET, FILTERS),
        ),
        Mutant(
            "alerts call those who left",
            '"horse__cases__closed_at": None, f"{member}__left_at": None',
            '"horse__cases__closed_at": None',
            tests=("tests/horses/rules/test_alert_elsewhere.py", QUIET),
        ),
        Mutant(
            "a horse out of care needs someone",
            ", horse__state=Horse.State.ACTIVE\n    )",
            "\n    )",
            tests=(FILTERS, QUIET),
        ),
    ),
    *rows(
        "horses/queries/alerts.py",
        "tests/horses/views/test_alerts_pages.py",
        Mutant("a closed board asks for answers", "live = access.case.is_open and", "live ="),
        Mutant(
            "remarks stand among the alerts",
            "if a.weight == Alert.Weight.ALERT and",
            "if",
            tests=(
                "tests/horses/rules/test_alert_quiet.py",
                "tests/horses/rules/test_alert_elsewhere.py",
                "tests/caseboard/test_board.py",
                "tests/caseboard/glance/test_rows.py",
                "tests/horses/rules/test_alert_life_machine.py",
            ),
        ),
        Mutant(
            "another board's alert stands on this board",
            "Q(case=board) | Q(case=None), horse=horse",
            "horse=horse",
            tests=(
                "tests/horses/rules/test_alert_quiet.py",
                "tests/horses/rules/test_alert_elsewhere.py",
                "tests/caseboard/test_board.py",
                "tests/caseboard/glance/test_rows.py",
                "tests/horses/rules/test_alert_life_machine.py",
            ),
        ),
    ),
    *rows(
        "horses/queries/flags.py",
        "tests/horses/views/test_flags_pages.py",
        Mutant(
            "the emergency vet comes last",
            "numbers.insert(0, {",
            "numbers.append({",
            tests=(
                "tests/horses/views/test_flags_pages.py",
                "tests/horses/views/test_flag_answers.py",
                "tests/horses/services/test_flags.py",
                "tests/caseboard/glance/test_rows.py",
            ),
        ),
        Mutant(
            "words for some readers reach all",
            "notes = {note.pk: note for note in notes_for(access).filter(flag=flag)}",
            "notes = {note.pk: note for note in Note.objects.filter(flag=flag)}",
            tests=("tests/horses/views/test_flag_answers.py",),
        ),
        Mutant(
            "of two corrections of a note the older stands",
            "for note in reversed(notes.values())",
            "for note in notes.values()",
            tests=("tests/horses/views/test_flag_answers.py",),
        ),
    ),
    *rows(
        "horses/queries/board.py",
        "tests/horses/services/test_flags.py",
        Mutant(
            "a flag that was opened again stays closed",
            "(is_open or answer.kind == FlagAnswer.Kind.REOPENED)",
            "is_open",
            tests=("tests/measurements/test_visit_void.py",),
        ),
        Mutant(
            "the most urgent flag is not first",
            '{"now": 0, "today": 1, "next_visit": 2}',
            '{"now": 2, "today": 1, "next_visit": 0}',
            tests=("tests/caseboard/test_board.py", "tests/horses/services/test_flags.py"),
        ),
    ),
)
