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
            "the first shoe a foot was given stands for the last",
            'order_by("visit__kept_on", "pk"):\n        last[',
            'order_by("-visit__kept_on", "-pk"):\n        last[',
        ),
        Mutant(
            "a shoe that was pulled is still on",
            "row.shoe != FootWork.Shoe.PULLED",
            "True",
        ),
        Mutant(
            "what a visit taken back did to a shoe still counts",
            "work = FootWork.objects.in_force().filter(visit__horse__in=ids)",
            "work = FootWork.objects.filter(visit__horse__in=ids)",
            tests=("tests/measurements/test_visit_void.py",),
        ),
    ),
    *rows(
        "horses/queries/other_boards.py",
        "tests/measurements/test_visit_other_horse.py",
        Mutant(
            "the boards of the same horse are offered, too",
            ".exclude(case__horse=access.horse)",
            "",
        ),
        Mutant("boards held in another role are offered", "role=access.role, ", ""),
        Mutant("closed boards are offered", ", case__closed_at=None", ""),
    ),
    *rows(
        "horses/queries/day_list.py",
        DAY_LIST,
        Mutant(
            "owners who left stay on the day list with their phone",
            "role=Role.OWNER, left_at__isnull=True",
            "role=Role.OWNER",
        ),
        Mutant("everybody of the team is named as an owner", "role=Role.OWNER, left", "left"),
        Mutant(
            "a stand-in is sent to horses that nobody asked them for",
            "return boards[horse_id, role][1]",
            "return False",
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
        Mutant("a vet is sent to trims that are due", "kind == Visit.Kind.FARRIER and not", "not"),
        Mutant(
            "horses due later are named",
            "by_then = due.on is not None and due.on <= last",
            "by_then = True",
        ),
        Mutant(
            "places are not kept together",
            "(_day(s), s.place.casefold(), s.horse",
            "(_day(s), s.horse",
        ),
        Mutant("items that not all agreed to are to be done", "if all_agree:", "if True:"),
        Mutant(
            "a plan of another board goes on the round",
            'mine = active_memberships(person).filter(case__horse__in=horses, case__closed_at=None)\n    cases = set(mine.values_list("case_id", flat=True))',
            'cases = set(Case.objects.filter(horse__in=horses).values_list("pk", flat=True))',
        ),
        Mutant(
            "a round is planned for closed boards",
            "role__in=KIND_OF, case__closed_at=None)",
            "role__in=KIND_OF)",
        ),
        Mutant(
            "trims taken back count on the round",
            "trims = Trim.objects.in_force()",
            "trims = Trim.objects",
        ),
        Mutant(
            "a role that left no longer counts for who must agree",
            "if m.left_at is None}",
            "if m.left_at is not None}",
        ),
    ),
    *rows(
        "horses/queries/herd.py",
        FILTERS,
        Mutant(
            "trims taken back count in the herd",
            "trims = Trim.objects.in_force()",
            "trims = Trim.objects",
            tests=(WAITING, FILTERS),
        ),
        Mutant(
            "alerts of boards that one is not on count in the herd",
            "mine = Q(horse__cases__memberships__person=person)",
            "mine = Q()",
            tests=("tests/horses/rules/test_alert_elsewhere.py", FILTERS),
        ),
        Mutant(
            "a planned day of the vet counts for the farrier", ", kind=Visit.Kind.FARRIER)", ")"
        ),
        Mutant("flags for now do not come first", 'if flags["now"]:', "if False:"),
        Mutant("flags for today do not come second", 'if flags["today"]:', "if False:"),
        Mutant(
            "calm horses stand by name alone",
            "line.due.on is None or line.rank != CALM",
            "True",
        ),
        Mutant(
            "one overdue visit hides the other alerts",
            "not all(self.matters",
            "not any(self.matters",
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
        Mutant(
            "the board with most need does not come first",
            'return not self.flags["now"], not (self.flags or self.waiting), concern',
            "return concern",
            tests=("tests/caseboard/test_entrance.py", FILTERS),
        ),
    ),
    *rows(
        "horses/queries/herd_filter.py",
        FILTERS,
        Mutant("calm horses need someone", "line.rank in NEEDS_SOMEONE", "line.rank <= CALM"),
        Mutant("a late horse is not due", " or line.is_late,", ","),
        Mutant("places are told apart by capitals", "== self.yard.casefold()", "== self.yard"),
        Mutant("calm horses rest", "line.rank > CALM", "line.rank >= CALM"),
        Mutant("the other view forgets the filters", '"need": self.need, ', ""),
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
            "an answer's last day is not kept", "Q(until_on__gte=today)", "Q(until_on__gt=today)"
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
            "an answer of a worse day covers what came after a better one",
            ", ~Exists(_later_and_worse(for_them))",
            "",
            tests=("tests/horses/rules/test_alert_life_machine.py", QUIET),
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
        Mutant(
            "an answer that names no day holds for ever",
            "said_at__date__gte=today - QUIET_FOR",
            "said_at__date__gte=date.min",
            tests=(QUIET, "tests/horses/rules/test_alert_elsewhere.py"),
        ),
    ),
    *rows(
        "horses/queries/alerts.py",
        "tests/horses/views/test_alerts_pages.py",
        Mutant("a closed board asks for answers", "live = access.case.is_open and", "live ="),
        Mutant("remarks stand among the alerts", "if a.weight == Alert.Weight.ALERT and", "if"),
        Mutant(
            "another board's alert stands on this board",
            "Alert.objects.filter(Q(case=access.case) | Q(case=None), horse",
            "Alert.objects.filter(horse",
            tests=(
                "tests/horses/rules/test_alert_elsewhere.py",
                "tests/horses/views/test_alerts_pages.py",
            ),
        ),
        Mutant(
            "it is said to be no worse when it is",
            "if _worse_since(alert, last):",
            "if False:",
            tests=(QUIET, "tests/horses/views/test_alerts_pages.py"),
        ),
    ),
    *rows(
        "horses/queries/flags.py",
        "tests/horses/views/test_flags_pages.py",
        Mutant("the emergency vet comes last", "numbers.insert(0, {", "numbers.append({"),
        Mutant(
            "a flag raised after the care ended asks nobody",
            'return ~ended | Q(raised_at__gt=F("case__horse__state_at"))',
            "return ~ended",
            tests=(
                FILTERS,
                "tests/horses/views/test_flags_pages.py",
                "tests/horses/services/test_flags.py",
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
        ),
        Mutant(
            "the most urgent flag is not first",
            '{"now": 0, "today": 1, "next_visit": 2}',
            '{"now": 2, "today": 1, "next_visit": 0}',
            tests=("tests/caseboard/test_board.py", "tests/horses/services/test_flags.py"),
        ),
        Mutant(
            "a used invitation still stands",
            "accepted_at=None, revoked_at=None",
            "revoked_at=None",
            tests=(
                "tests/horses/views/test_team_pages.py",
                "tests/horses/services/test_invitations.py",
            ),
        ),
        Mutant(
            "a change on a board that one is not on is told",
            "cases = cases_for(access.person).filter(horse=access.horse)",
            "cases = Case.objects.filter(horse=access.horse)",
            tests=(
                "tests/horses/services/test_newcomers.py",
                "tests/horses/views/test_conflict_pages.py",
                "tests/horses/services/test_interleavings.py",
            ),
        ),
        Mutant(
            "examinations of another board stand here",
            '.filter(case=access.case)\n        .select_related("examined_by")',
            '.filter(case__horse=access.horse)\n        .select_related("examined_by")',
            tests=("tests/horses/views/test_exams_pages.py", "tests/horses/services/test_exams.py"),
        ),
        Mutant(
            "the planned visit of the vet is the farrier's",
            ".filter(horse=horse, kind=kind)",
            ".filter(horse=horse)",
            tests=("tests/horses/services/test_visits.py", "tests/caseboard/test_board.py"),
        ),
    ),
)
