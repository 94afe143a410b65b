"""Slips in what a phone does without a signal: its worker, its drafts, and how they are taken in.

Most are in scripts, and seen by a real browser only.
"""

from tests.mutants.row import Mutant, rows

WORKER = "caseboard/static/js/worker"
DRAFTS = "caseboard/static/js/drafts"
SHELF = "tests/browser/test_shelf.py"
HOLDS = "tests/browser/test_phone_holds.py"
RECEIVED = "tests/caseboard/test_drafts_received.py"

PHONE = (
    *rows(
        f"{WORKER}/line.js",
        f"{SHELF}::test_requests_that_hang_do_not_keep_the_phone_from_all_that_comes_after",
        Mutant(
            "a request of the worker has no end", "{ signal: end.signal, ...options }", "options"
        ),
    ),
    *rows(
        f"{WORKER}/ahead.js",
        f"{SHELF}::test_on_a_thin_line_the_forms_of_the_horse_that_is_open_come_after_the_boards_of_the_stops",
        Mutant(
            "on a thin line the open horse is left out", "here && !spares ?", "here && !isThin() ?"
        ),
        Mutant("a thin line brings all of a stop first", "if (isThin()) yield* wanted.stops;", ""),
    ),
    *rows(
        f"{WORKER}/shelf.js",
        f"{SHELF}::test_of_more_than_it_keeps_what_is_only_looked_at_goes_first",
        Mutant("a full shelf drops forms and lists", "kindOf(one) - kindOf(other) || ", ""),
    ),
    *rows(
        f"{WORKER}/closed.js",
        f"{HOLDS}::test_no_store_of_a_phone_holds_what_was_not_for_who_is_on_it_and_nothing_once_they_are_removed",
        Mutant(
            "kept pages go on leading to a case that is closed to them",
            " || (await homesIn(shelf, request)).some(isClosed)",
            "",
        ),
    ),
    *rows(
        f"{WORKER}/shelf.js",
        f"{SHELF}::test_a_form_asked_for_from_a_days_list_opens_the_one_that_is_kept",
        Mutant(
            "the list of a day opens no form without a signal",
            "? keptPage(origin + pathname) : null;",
            "? null : null;",
        ),
    ),
    *rows(
        "caseboard/static/js/visit/asked.js",
        f"{SHELF}::test_the_form_of_a_stop_leads_on_without_a_connection_past_what_was_written_meanwhile",
        Mutant(
            "a kept form leads to a horse that was written up meanwhile",
            'if (!written.some((one) => one.caseId === then && one.state !== "typing" && one.kind.startsWith("Visit"))) return;',
            "return;",
        ),
    ),
    *rows(
        "caseboard/static/js/visit/values.js",
        "tests/browser/test_visit_on_a_phone.py::test_a_value_that_nobody_touched_is_dashed_and_never_saved",
        Mutant(
            "the last value stands in the box before anybody touched it",
            "if (val.dataset.last) box.placeholder = val.dataset.last;",
            "if (val.dataset.last) box.value ||= val.dataset.last;",
        ),
    ),
    *rows(
        f"{DRAFTS}/queue.js",
        "tests/browser/test_drafts_offline.py::test_what_was_sent_from_the_phone_is_on_the_board_that_it_keeps",
        Mutant(
            "what was sent is not on the board that the phone keeps",
            "if (tried.size) tellWorker([], true);",
            "",
        ),
    ),
    *rows(
        f"{DRAFTS}/clock.js",
        "tests/browser/test_conflicts_without_a_line.py::test_a_clock_put_right_before_sending_does_not_change_when_a_note_was_written",
        Mutant(
            "a clock that was put right tells a wrong age",
            "> SLACK_MS ? by : 0",
            "> SLACK_MS ? 0 : 0",
        ),
        Mutant(
            "the history guesses where nobody can tell",
            "can.length === 1 ? ",
            "can.length ? ",
            tests=(
                "tests/browser/test_conflicts_without_a_line.py::test_where_nobody_can_tell_when_a_note_was_written_the_history_says_nothing",
            ),
        ),
    ),
    *rows(
        f"{DRAFTS}/store.js",
        f"{HOLDS}::test_the_boards_page_beside_a_draft_goes_when_another_is_signed_in",
        Mutant(
            "the board's page beside a draft stays for whoever signs in next",
            "row.person !== person || !(row.last.at > oldest)",
            "!(row.last.at > oldest)",
        ),
        Mutant(
            "the board's page beside a draft stays for ever",
            "row.person !== person || !(row.last.at > oldest)",
            "row.person !== person",
            tests=(f"{HOLDS}::test_it_goes_after_two_weeks",),
        ),
    ),
    *rows(
        "caseboard/static/js/points/camera.js",
        "tests/browser/test_camera_without_a_line.py::test_it_is_kept_and_sent_after_the_visit_and_once",
        Mutant(
            "a picture taken in the form of a visit is not kept",
            "await window.drafts.store.put(draft).then(() => true, () => false)",
            "false",
        ),
    ),
    *rows(
        "caseboard/http/drafts.py",
        RECEIVED,
        Mutant(
            "a form whose pictures came by half is taken",
            "    return came == int(said)",
            "    return True",
        ),
        Mutant(
            "a form whose words came by half is taken",
            'return len(request.body) >= int(request.META.get("CONTENT_LENGTH") or 0)',
            "return True",
        ),
        Mutant(
            "the pictures of a flag have no address in its first answer",
            '        told["files_to"] = files_to',
            "        pass",
        ),
    ),
    *rows(
        "horses/services/drafts.py",
        RECEIVED,
        Mutant(
            "a draft sent again has lost where its pictures go",
            'more = {"files_to": self.files_to} if self.files_to else {}',
            "more: dict[str, str] = {}",
        ),
    ),
)
