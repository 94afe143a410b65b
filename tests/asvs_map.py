"""OWASP ASVS 5.0 up to level 2, chapter by chapter where it applies: what proves each line here.

One line a requirement: number | in our own words | tests that prove it, or "- " and why it does not
apply, or why we deviate ("deviates:"). Numbers are those of version 5.0.0; those of V8, V13,
V14 and V16 were compared with the published text, all others are from memory. Of V14 only what lies in
browsers stands here. Level 3 is not claimed,
though some of it is here.

The proofs of a chapter run by themselves: `uv run pytest $(uv run python -m tests.asvs_map 6)`.
"""

import sys

TEXT = """
1.1.2 | text is escaped where it is shown, never before | tests/caseboard/test_middleware.py::test_a_conflict_shows_both_texts_and_the_way_on
1.2.1 | escaping fits the place | tests/horses/accounts/test_fresh_code.py::test_what_was_typed_goes_the_whole_way_through
1.2.2 | addresses that come from outside lead nowhere else | tests/horses/accounts/test_passkeys.py::test_after_the_sign_in_nobody_is_sent_elsewhere
1.2.4 | the database is asked by parameters | tests/test_imports.py::test_what_belongs_to_a_case_is_fetched_behind_one_door
1.2.10 | no cell of an export runs as a formula | tests/caseboard/test_export.py::test_nothing_typed_becomes_a_formula
1.3.1 | no HTML is taken from people | - there is no editor that gives HTML: text is text
1.3.3 | invisible and over-long text is cut or refused | tests/lib/test_text_safe.py::test_what_cannot_be_shown_is_removed tests/lib/test_text_safe.py::test_a_megabyte_is_refused_with_words_and_not_with_an_error
1.3.4 | no SVG is taken from people | tests/lib/test_photo.py::test_a_file_that_is_no_photo_is_refused_in_words
1.3.6 | nothing that people type makes the server call out | tests/lib/test_html_pdf.py::test_no_document_makes_the_child_call_out
1.3.11 | no line breaks get into mail headers | tests/lib/test_text_safe.py::test_tabs_stay_in_a_text_and_become_spaces_on_a_line
1.5.2 | only JSON is read back, and a hostile one breaks nothing | tests/horses/accounts/test_passkeys.py::test_an_answer_that_proves_nothing_signs_nobody_in
2.1.1 | what a field takes is written down | - in the form's fields, quantities and ranges with their sources; tests/lib/test_text_safe.py and tests/hoof/test_quantities.py hold them
2.1.2 | what must go together is written down | - in the services, which refuse with words; see 2.2.3
2.1.3 | limits of use are written down | - in the settings (LIMIT_...), each with what it is for; see 2.3.2 and 2.4.1
2.2.1 | every field has its kind, range and length | tests/lib/test_text_safe.py::test_a_text_over_the_limit_says_how_long_it_is_and_that_nothing_is_lost
2.2.2 | checked on the server, whatever the page did | tests/horses/services/test_every_service.py::test_each_deed_is_done_by_the_roles_of_the_policy_and_nobody_else
2.2.3 | what must go together is checked together | tests/measurements/test_targets_service.py::test_a_band_that_cannot_be_is_refused tests/horses/services/test_visits.py::test_a_day_to_come_is_not_written_up
2.3.1 | steps cannot be left out | tests/horses/accounts/test_fresh_code.py::test_after_a_while_a_code_is_asked_before_somebody_is_removed
2.3.2 | limits hold in every process | tests/caseboard/test_two_processes.py::test_what_one_person_writes_is_counted_over_both tests/lib/test_limits.py::test_callers_at_the_same_moment_never_share_a_try
2.3.3 | a deed is whole or not at all | tests/horses/services/test_every_service.py::test_a_failure_early_or_late_leaves_nothing_behind
2.3.4 | two at the same moment: one wins, the other is told | tests/horses/services/test_races.py::test_of_two_editors_of_the_horse_one_wins tests/horses/services/test_races.py::test_a_visit_planned_by_two_at_once_is_one_visit
2.4.1 | what costs is limited | tests/caseboard/test_write_limits.py::test_so_many_are_taken_and_the_next_is_told_to_wait tests/caseboard/test_export.py::test_copies_are_taken_only_so_often tests/caseboard/test_entrance.py::test_one_machine_asks_only_so_often
5.1.1 | which files are taken is written down | - in caseboard/lib/photo.py: kinds, bytes and pixels; photos are the only files taken
5.2.1 | files over a size are refused unread | tests/lib/test_photo.py::test_a_file_over_the_limit_is_refused_without_being_read
5.2.2 | content counts, not the name; pictures are drawn anew | tests/lib/test_photo.py::test_each_kind_of_picture_becomes_a_jpeg tests/lib/test_photo.py::test_a_file_that_is_a_photo_and_something_else_keeps_only_the_photo
5.2.3 | a file that unpacks to much is refused | tests/lib/test_photo.py::test_a_text_chunk_that_unpacks_to_much_is_refused_or_left_out
5.2.6 | too many pixels are refused before decoding | tests/lib/test_photo.py::test_too_many_pixels_are_refused_before_anything_is_decoded
5.3.1 | no stored file has a public address | tests/horses/views/test_photo_pages.py::test_no_public_address_leads_to_the_file
5.3.2 | stored names are ours | tests/horses/views/test_photo_pages.py::test_what_is_kept_is_our_own_jpeg_under_our_own_name
5.4.1 | served as what it is, under our name | tests/horses/views/test_photo_pages.py::test_it_is_served_as_a_picture_and_nothing_else
5.4.2 | names of files are ours in the answer too | tests/horses/views/test_photo_pages.py::test_it_is_served_as_a_picture_and_nothing_else
5.4.3 | scanned for known malware | - deviates: no scanner; every picture is drawn anew, and nothing else is kept or served
6.1.1 | how guessing is slowed, without locking people out | tests/caseboard/test_entrance.py::test_one_machine_gets_only_so_many_codes_for_one_address tests/caseboard/test_entrance.py::test_fifty_machines_keep_nobody_out tests/caseboard/test_entrance.py::test_after_a_while_codes_are_sent_again
6.1.3 | each way in is written down | - code (horses/accounts/services/code_mails.py), passkey (horses/accounts/passkey_protocol.py) invitation (horses/models/case.py) and a yard's link (horses/accounts/views/join.py): by a code, or mailed to an address without an account; no other address signs anybody in, see 6.3.4
6.2.1 | passwords | - there are none: 6.1.2 and 6.2.1 to 6.2.12 do not apply
6.3.1 | guessing codes is stopped | tests/caseboard/test_sign_in_codes.py::test_three_wrong_tries_use_the_code_up tests/caseboard/test_sign_in_codes.py::test_tries_at_the_same_moment_are_counted_one_by_one
6.3.2 | no default accounts | tests/horses/test_access.py::test_an_all_powerful_account_sees_no_case_by_it
6.3.3 | two factors | - deviates: one factor by mail, as decided for people in barns; passkeys with a finger or number are offered, careful deeds ask for a fresh code, and sessions can be seen and ended
6.3.4 | the ways in are the code and the passkey, no other | tests/access/test_matrix.py::test_every_address_has_its_row tests/horses/yards/test_join_pages.py::test_a_mailed_link_is_no_key_to_an_account_that_is_there
6.3.7 | people hear of changes to how they sign in | tests/horses/accounts/test_addresses.py::test_the_old_address_hears_of_it tests/horses/accounts/test_passkeys.py::test_the_person_hears_of_a_new_one_by_mail
6.3.8 | nobody learns whether an address has an account | tests/caseboard/test_sign_in_codes.py::test_a_known_and_an_unknown_address_get_the_same_answers tests/caseboard/test_sign_in_codes.py::test_a_known_and_an_unknown_address_cost_the_same_work tests/horses/accounts/test_addresses.py::test_an_address_of_somebody_else_answers_alike_and_is_not_given tests/horses/yards/test_join_pages.py::test_the_page_says_the_same_for_known_and_unknown_addresses
6.4.1 | first secrets are random and short-lived | tests/horses/services/test_invitations.py::test_it_is_good_for_seven_days tests/horses/yards/test_links.py::test_the_way_in_is_128_bits_and_the_database_keeps_only_a_hash tests/horses/yards/test_links.py::test_links_end_after_seven_days_and_when_ended
6.4.2 | no secret questions | - there are none
6.4.3 | forgotten passwords | - there are none
6.4.4 | a lost factor is not made good by less | - the code by mail is always the way back; there is no second factor to lose
6.5.1 | a code works once | tests/caseboard/test_sign_in_codes.py::test_the_right_code_signs_in_and_works_once tests/horses/accounts/test_fresh_code.py::test_the_code_works_typed_carelessly_and_once
6.5.2 | codes are kept hashed | tests/horses/accounts/test_fresh_code.py::test_the_code_is_not_in_the_session
6.5.3 | codes come from a safe source of chance | - ours from the standard library's secrets, the sign-in library's likewise; not testable by their look
6.5.4 | codes have 20 bits at least | - eight letters of twenty, about 35 bits (horses/accounts/reauthentication.py); the sign-in library's eight characters have more
6.5.5 | a code lives ten minutes at most | tests/caseboard/test_sign_in_codes.py::test_a_code_is_too_old_after_five_minutes tests/horses/accounts/test_fresh_code.py::test_a_code_lives_five_minutes
6.5.6 | a lost key can be taken away | tests/horses/accounts/test_passkeys.py::test_one_that_is_taken_away_is_gone_and_only_its_owner_can
6.6.1 | codes by telephone | - there are none
6.6.2 | a code is bound to the browser that asked | tests/caseboard/test_sign_in_codes.py::test_a_code_serves_only_the_browser_that_asked tests/horses/accounts/test_fresh_code.py::test_a_code_serves_only_the_browser_that_asked
6.6.3 | codes are limited in number | tests/horses/accounts/test_fresh_code.py::test_codes_are_sent_only_so_often
6.8.1 | other identity providers | - there are none: 6.8 and 7.6 do not apply
7.1.1 | how long a session lives | - deviates: 60 days from the sign-in without a break, for phones in barns; it stands in the settings, and sessions can be ended from anywhere
7.1.2 | how many sessions | - any number; each is shown to its person
7.1.3 | sessions shared with other systems | - there are none
7.2.1 | the server checks the session | tests/horses/accounts/test_sign_ins.py::test_ending_one_works_with_its_very_next_click
7.2.2 | the key of a session is made for it | tests/horses/accounts/test_sign_ins.py::test_signing_in_gives_the_browser_a_new_key
7.2.3 | the key is random and long, and on no page | tests/horses/accounts/test_sign_ins.py::test_a_key_that_opens_a_session_is_on_no_page
7.2.4 | a new key with each sign-in | tests/horses/accounts/test_sign_ins.py::test_signing_in_gives_the_browser_a_new_key
7.3.1 | an end after disuse | - deviates: see 7.1.1; only the absolute end is kept
7.3.2 | an absolute end | - 60 days from the sign-in, SESSION_COOKIE_AGE in the settings; see 7.1.1
7.4.1 | an ended session stays ended | tests/horses/accounts/test_sign_ins.py::test_a_page_that_was_loading_when_its_session_ended_does_not_bring_it_back tests/caseboard/test_middleware.py::test_a_signed_in_page_is_kept_by_no_cache
7.4.2 | a closed account is signed in nowhere | tests/horses/accounts/test_sign_ins.py::test_a_closed_account_is_signed_in_nowhere
7.4.3 | all others can be ended | tests/horses/accounts/test_sign_ins.py::test_ending_all_others_leaves_the_one_that_asked
7.4.4 | every page offers to sign out | tests/browser/test_sign_in.py::test_a_passkey_is_added_opens_the_board_and_is_taken_away
7.4.5 | whoever runs it can end sign-ins | tests/horses/accounts/test_sign_ins.py::test_a_closed_account_is_signed_in_nowhere
7.5.1 | a fresh code before the address or a passkey changes | tests/horses/accounts/test_fresh_code.py::test_what_was_typed_goes_the_whole_way_through
7.5.2 | people see and end their sessions | tests/horses/accounts/test_sign_ins.py::test_the_page_shows_each_place_and_which_one_this_is tests/horses/accounts/test_sign_ins.py::test_nobody_ends_anothers_session
7.5.3 | careful deeds ask again | tests/caseboard/test_export.py::test_a_while_after_the_sign_in_a_fresh_code_is_asked
8.1.1 | who may do what is written down | tests/horses/test_access.py::test_the_policy_says_what_was_written_down_apart_from_it
8.1.2 | which fields are for whom is written down | tests/access/test_fields.py::test_what_a_page_does_not_offer_to_a_role_changes_nothing
8.2.1 | each deed by its roles only | tests/horses/services/test_every_service.py::test_each_deed_is_done_by_the_roles_of_the_policy_and_nobody_else
8.2.2 | each thing by those on its case only | tests/access/test_matrix.py::test_each_page_of_a_case_answers_each_person_as_the_policy_says tests/access/test_matrix.py::test_a_thing_of_one_case_is_not_found_under_another
8.2.3 | words by their readers only, fields by their roles only | tests/access/test_fields.py::test_who_may_not_send_a_form_writes_nothing_with_it tests/access/test_canaries.py::test_no_page_shows_a_role_what_was_not_for_it tests/access/test_canaries.py::test_no_copy_of_the_case_holds_what_was_not_for_its_taker
8.3.1 | decided on the server | tests/access/test_faults.py::test_every_seeded_fault_is_noticed
8.3.2 | a removal works at once | tests/access/test_matrix.py::test_access_ends_on_the_next_click_after_the_removal
8.4.1 | nothing crosses from one team to another | tests/access/test_strangers.py::test_a_case_that_exists_answers_a_stranger_like_one_that_does_not
13.1.1 | what it talks to is written down | - database, cache, broker and mail server, in caseboard/OPERATING.md; nobody gives it an address to call
13.2.1 | its parts sign in to each other | - deviates: by the passwords in DATABASE_URL, REDIS_URL and EMAIL_URL, which whoever installs it sets and changes; no short-lived ones
13.2.2 | with no more rights than needed | - for whoever installs it: an account of its own for one database. It must own its tables, because migrations put the triggers on
13.2.3 | no default passwords | tests/caseboard/test_production_settings.py::test_without_one_of_its_secrets_it_does_not_start tests/caseboard/test_production_settings.py::test_with_a_short_key_it_does_not_start
13.2.4 | what the server may fetch is a short list | tests/lib/test_html_pdf.py::test_no_other_file_is_named
13.2.5 | what the server may load is a short list | tests/lib/test_html_pdf.py::test_a_file_of_the_machine_is_not_attached
13.3.1 | secrets are kept outside the code | tests/caseboard/test_production_settings.py::test_without_one_of_its_secrets_it_does_not_start tests/lib/test_html_pdf.py::test_the_child_is_given_no_secrets
13.3.2 | who needs no secret gets none | tests/lib/test_html_pdf.py::test_the_child_is_given_no_secrets
13.4.1 | nothing of the version control is served | - only files under the static folder are served, by name from its list
13.4.2 | no debugging in production | tests/caseboard/test_production_settings.py::test_a_whole_production_set_up_has_nothing_to_warn_of
13.4.3 | no lists of folders | - the static files are served by name only; photos through a view
13.4.4 | no TRACE | tests/access/test_matrix.py::test_each_page_takes_its_methods_and_no_other
13.4.5 | no page that was not meant | tests/access/test_matrix.py::test_every_address_has_its_row
14.3.1 | what lies in the browser goes with the sign-in, also without a connection | tests/browser/test_shelf.py::test_signing_out_empties_it tests/browser/test_shelf.py::test_the_page_that_signs_out_can_have_it_emptied_first tests/browser/test_shelf.py::test_a_phone_whose_sign_in_was_ended_elsewhere_forgets_at_its_next_contact tests/browser/test_phone_holds.py::test_the_boards_page_beside_a_draft_goes_when_another_is_signed_in
14.3.2 | no cache keeps what is private | tests/caseboard/test_middleware.py::test_a_signed_in_page_is_kept_by_no_cache tests/caseboard/kept/test_pages.py::test_what_opens_a_way_in_may_not_be_kept
14.3.3 | nothing private in the browser's storage | - deviates: barns have no signal, so one person's pages lie in a cache of our own worker's, for 14 days after the last contact; see caseboard/kept/pages.py, .github/SECURITY.md, tests/browser/test_shelf.py and tests/browser/test_phone_holds.py
16.1.1 | what is logged is written down | - in caseboard/OPERATING.md: one stream on the console, its fields and its alarms; where it is kept and for how long is for whoever runs it
16.2.1 | a log line says when, where and what | tests/lib/test_logs.py::test_a_line_has_its_fields_its_moment_and_its_place
16.2.2 | moments are in one time | tests/lib/test_logs.py::test_a_line_has_its_fields_its_moment_and_its_place
16.2.3 | it logs nowhere else | - one handler, the console, in the settings
16.2.4 | logs can be read by machines | tests/caseboard/test_production_settings.py::test_production_logs_are_lines_of_json
16.2.5 | what people wrote is not logged | tests/lib/test_logs.py::test_what_people_wrote_is_not_logged
16.3.1 | sign-ins are logged, wrong codes too | tests/horses/accounts/test_sign_ins.py::test_sign_ins_and_wrong_codes_are_logged_without_the_code
16.3.2 | refusals are logged | tests/horses/accounts/test_sign_ins.py::test_a_refusal_is_logged_with_who_and_which_page
16.3.3 | tries to get past the limits are logged | tests/caseboard/test_write_limits.py::test_whoever_is_stopped_is_logged_without_what_they_typed
16.3.4 | errors are logged | tests/lib/test_logs.py::test_an_error_is_logged_with_where_it_happened
16.4.1 | nobody writes lines of their own into the log | tests/caseboard/test_production_settings.py::test_production_logs_are_lines_of_json
16.4.2 | logs cannot be changed | - for whoever runs it: the program writes to its console and cannot read or change what it wrote
16.4.3 | logs are kept elsewhere | - for whoever runs it; what people did is in the history as well, see verify_history
16.5.1 | an error shows nothing of the inside | tests/caseboard/test_middleware.py::test_a_broken_page_does_not_show_its_inside
16.5.2 | a missing service is said, not suffered | tests/horses/accounts/test_fresh_code.py::test_without_a_mail_server_the_page_says_so_and_keeps_what_was_typed
16.5.3 | when something breaks nothing is half done | tests/horses/services/test_every_service.py::test_a_failure_early_or_late_leaves_nothing_behind
"""
ROWS = [tuple(part.strip() for part in line.split(" | ")) for line in TEXT.strip().splitlines()]


def proofs(chapter: str = "") -> list[str]:
    """The tests that are named in a chapter, or in all of them, each once."""
    rows = [row for row in ROWS if not chapter or row[0].split(".")[0] == chapter]
    named = [name for _, _, proof in rows if not proof.startswith("- ") for name in proof.split()]
    return list(dict.fromkeys(named))


if __name__ == "__main__":
    print("\n".join(proofs(*sys.argv[1:2])))
