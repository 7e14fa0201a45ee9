"""Which tests hold which requirements of OWASP ASVS 5.0.0 (github.com/OWASP/ASVS, 5.0/en); each named test exists.

Known difference, 14.3.3: phones keep today's jobs for three days so that work goes on without signal, and of them no
prices, no tokens and no other person's pages.
"""

import ast
from functools import cache
from pathlib import Path

import pytest

from rewire.bootstrap import ROOT

ASVS = "published/asvs/test_"
LINES: dict[str, tuple[str, ...]] = {
    "1.2.1, 1.3.2 text stays text": (
        f"{ASVS}pages.py::test_script_is_inert_when_every_text_of_the_firm_is_one",
        f"{ASVS}pages.py::test_hostile_texts_are_on_the_pages_when_they_are_read",
        "test_architecture.py::test_templates_hold_nothing_the_content_policy_forbids_when_they_are_read",
    ),
    "1.2.4, 1.2.5 quotes in searches and file names": (
        f"{ASVS}requests.py::test_search_finds_its_own_words_alone_when_they_are_sql",
        f"{ASVS}pages.py::test_file_has_a_plain_name_when_it_is_sent",
    ),
    "1.2.10 no cell is a formula": (
        f"{ASVS}requests.py::test_no_cell_is_a_formula_when_every_text_of_the_firm_is_one",
        "actions/test_order_mail.py::test_the_table_goes_with_the_mail_and_no_cell_is_a_formula",
    ),
    "1.3.11 no line break in a header of a mail": (
        f"{ASVS}requests.py::test_mail_is_refused_when_a_header_holds_a_line_break",
        "calendars/test_hostile.py::test_mails_hold_only_our_headers_when_fields_are_hostile",
    ),
    "2.2.2 operations that make no sense": (
        "web/test_bad_operations.py::test_figure_out_of_all_proportion_or_of_the_wrong_type_is_bad",
        "web/test_sync.py::test_other_firms_line_is_bad_and_says_nothing_about_it",
        "core/test_nonsense.py::test_operation_is_read_or_refused_in_words_when_it_is_nonsense",
    ),
    "2.3.3, 2.3.4 whole or not at all, the last one once": (
        f"{ASVS}requests.py::test_nothing_is_issued_when_writing_to_the_trades_breaks_off",
        "faults/test_stock_races.py::test_every_piece_is_taken_once_when_many_take_at_once",
        "faults/test_stock_races.py::test_one_gets_it_when_two_take_the_last_box",
    ),
    "2.4.1 a hundred sendings a minute": ("web/test_sync.py::test_sending_is_429_when_there_were_a_hundred_in_a_minute",),
    "3.3.1 to 3.3.4 cookies": (
        f"{ASVS}requests.py::test_cookie_keeps_to_its_host_and_away_from_scripts_when_it_is_set",
        "rewire/test_settings.py::test_cookie_is_bound_to_the_host_when_https_is_on",
    ),
    "3.4.1, 3.4.4, 3.4.5, 3.4.6, 3.4.8 headers": (
        f"{ASVS}pages.py::test_header_is_set_when_any_route_answers",
        f"{ASVS}pages.py::test_policy_is_strict_when_any_route_answers",
    ),
    "3.4.3 content policy": (
        f"{ASVS}pages.py::test_policy_is_strict_when_any_route_answers",
        "browser/test_content_policy.py::test_injected_script_does_nothing_when_a_page_is_open",
        "browser/test_states.py::test_no_page_has_a_fault_when_it_is_empty_wrong_or_refused",
    ),
    "3.5.1, 3.5.3 no change without a form of our own": (
        f"{ASVS}requests.py::test_post_without_a_token_is_refused_when_any_route_gets_it",
        f"{ASVS}requests.py::test_post_from_another_site_is_refused_when_its_token_is_right",
        f"{ASVS}pages.py::test_nothing_is_added_or_removed_when_every_route_is_only_read",
        "web/test_outside.py::test_answer_is_refused_when_another_site_sends_it",
        "web/test_customer.py::test_answer_is_refused_when_another_site_sends_it",
    ),
    "3.5.8 photos for our own pages": ("web/test_photos.py::test_photo_is_refused_when_another_site_asks_for_it",),
    "3.6.1 nothing from elsewhere": (f"{ASVS}pages.py::test_nothing_is_loaded_from_elsewhere_when_a_page_is_shown",),
    "4.1.3, 15.3.4 a header changes no throttle": (
        "web/test_sign_in.py::test_lock_is_not_dodged_when_forwarded_addresses_are_made_up",
        "test_serving.py::test_forwarded_headers_count_only_when_the_trusted_proxy_sent_them",
    ),
    "5.2.1, 5.2.2, 5.2.6 files": (
        "actions/test_pictures.py::test_bytes_are_refused_when_they_are_no_picture_of_sensible_size",
        f"{ASVS}requests.py::test_no_pixel_is_drawn_when_the_header_promises_too_many",
        "web/test_photos.py::test_sending_is_refused_as_a_whole_when_it_is_of_another_form",
        "test_serving.py::test_request_is_refused_when_it_is_larger_than_any_file",
    ),
    "5.3.2, 5.4.1 names of files": (
        "web/test_photos.py::test_photo_is_taken_without_scripts_whatever_its_file_is_called",
        "web/test_photos.py::test_photo_is_shown_to_the_firm_and_read_as_nothing_else",
        f"{ASVS}pages.py::test_file_has_a_plain_name_when_it_is_sent",
    ),
    "6.2.1, 6.2.4, 6.2.9 passwords": (
        "web/test_sign_in.py::test_new_password_is_refused_when_it_is_weak",
        "web/test_sign_in.py::test_new_password_may_be_long",
        "web/test_sign_ins.py::test_form_says_so_when_the_password_is_weak_or_differs",
    ),
    "6.3.1, 6.3.8 guessing": (
        "web/test_sign_in.py::test_sign_in_is_locked_with_a_sentence_after_five_failures",
        "web/test_sign_in.py::test_same_words_are_shown_when_name_or_password_is_wrong",
        f"{ASVS}requests.py::test_as_much_work_is_done_when_the_name_is_unknown",
        "web/test_sign_in.py::test_right_code_is_refused_after_five_guesses",
    ),
    "6.5.1, 6.5.3, 6.5.5 sign-in by code and link": (
        "actions/test_devices.py::test_code_is_refused_when_its_link_was_used",
        "actions/test_devices.py::test_link_is_refused_when_ten_minutes_are_over",
        "actions/test_devices.py::test_token_carries_at_least_128_bits",
        "web/test_sign_ins.py::test_link_works_once_when_it_is_used",
    ),
    "6.5.6, 7.4.5 a lost phone": (
        "web/test_sync.py::test_answer_is_401_when_the_office_revoked_the_phone",
        "web/test_sign_ins.py::test_every_phone_is_signed_out_when_the_office_says_so",
        "browser/test_site_offline.py::test_revoked_phone_keeps_its_ticks_and_forgets_its_pages",
    ),
    "7.2.4, 7.3.1, 7.3.2, 7.4.1, 7.4.2 sessions": (
        "web/test_sign_in.py::test_session_key_is_new_when_somebody_signs_in",
        "web/test_sign_ins.py::test_browser_is_signed_out_when_unused_or_signed_in_too_long",
        "web/test_sign_ins.py::test_phone_needs_a_new_code_when_it_was_not_used_for_long",
        f"{ASVS}requests.py::test_old_session_opens_nothing_when_somebody_signed_out",
        "web/test_sign_ins.py::test_colleague_is_out_and_stays_out_when_no_longer_let_in",
        "web/test_sign_ins.py::test_every_browser_is_signed_out_when_somebody_signs_out_everywhere",
    ),
    "8.2.1, 8.2.2, 8.3.1 who may see what": (
        "web/test_access.py::test_every_route_is_in_the_table_when_there_is_a_new_one",
        "web/test_access.py::test_office_page_opens_to_its_own_office_alone_when_everyone_asks",
        "web/test_access.py::test_site_page_opens_to_the_whole_firm_alone_when_everyone_asks",
        "web/test_access.py::test_nothing_is_found_when_another_firm_asks",
        "web/test_access.py::test_link_opens_what_it_was_made_for_alone_when_it_is_live",
        "web/test_access.py::test_link_opens_nothing_when_it_is_revoked_or_too_old",
    ),
    "11.5.1, 12.2.1, 12.2.2, 13.4.2 tokens, TLS, debug": (
        "actions/test_links.py::test_token_has_256_bits_when_made",
        f"{ASVS}requests.py::test_everything_goes_over_https_when_it_is_asked_for_without",
        "rewire/test_settings.py::test_debug_is_off_when_nothing_is_said",
        "rewire/test_settings.py::test_deploy_check_finds_nothing_when_settings_are_those_of_production",
    ),
    "14.2.1, 14.2.8, 14.3.1, 14.3.2, 14.3.3 what is kept where": (
        f"{ASVS}pages.py::test_no_secret_is_asked_for_in_an_address_when_a_form_or_link_is_shown",
        "actions/test_pictures.py::test_picture_loses_place_and_maker_when_drawn_anew",
        f"{ASVS}pages.py::test_pages_are_stored_nowhere_when_somebody_is_signed_in_or_has_a_link",
        "browser/test_site_offline.py::test_kept_pages_hold_no_token",
        "browser/test_site_offline.py::test_kept_page_is_gone_after_three_days",
    ),
    "15.4.2, 16.2.5, 16.4.1, 16.5.2, 16.5.3 at once, logs, trouble": (
        "faults/test_stock_races.py::test_last_metres_are_cut_once_when_two_cut_a_drum",
        "rewire/test_log.py::test_token_is_masked_when_an_address_holds_one",
        "rewire/test_log.py::test_line_break_is_shown_as_text_when_somebody_sent_one",
        "web/test_request_log.py::test_secret_stays_out_when_a_link_is_opened",
        "faults/test_notices.py::test_issuing_waits_for_the_broker_once_and_briefly_when_it_is_frozen_or_gone",
        "web/test_middleware.py::test_page_says_try_again_when_the_database_is_locked",
    ),
}
"""Requirements by number, in our words → the tests that hold them."""


@cache
def names_in(file: Path) -> set[str]:
    return {node.name for node in ast.parse(file.read_text()).body if isinstance(node, ast.FunctionDef)}


@pytest.mark.parametrize("line", LINES)
def test_requirement_is_held_by_tests_that_exist(line: str) -> None:
    named = [test.split("::") for test in LINES[line]]
    assert [test for file, test in named if test not in names_in(ROOT / "tests" / file)] == []


def test_every_line_is_there_when_they_are_counted() -> None:
    assert len(LINES) == 25
