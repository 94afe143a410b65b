"""The whole site: the two apps, the board and the sheet that compose them, and the open pages.

Decided 2026-11:
- the sign-in addresses are our own short list of the library's views, so that pages we do not use
  (passwords, connections) do not exist.
- there is no Django admin: it would be a second door without the rules.
"""

from allauth.account import views as account
from django.conf import settings
from django.urls import URLPattern, URLResolver, include, path
from django.views.generic import RedirectView

from caseboard.lib.open_pages import open_to_all
from caseboard.views import (
    board,
    day_list,
    entrance,
    export,
    health,
    kept,
    mailbox,
    pages,
    preview_as_role,
    printouts,
    sheet,
    sheet_verify,
)

# Only the parts of the sign-in library that are used: a code by email, sign-up, sign-out.
sign_in = [
    path(
        "login/",
        open_to_all(
            RedirectView.as_view(pattern_name="account_request_login_code", query_string=True)
        ),
        name="account_login",
    ),
    path("login/code/", entrance.request_code, name="account_request_login_code"),
    path("login/code/confirm/", entrance.confirm_code, name="account_confirm_login_code"),
    path("logout/", account.logout, name="account_logout"),
    path("signup/", entrance.sign_up, name="account_signup"),
    path("confirm-email/", entrance.confirm_address, name="account_email_verification_sent"),
    path("inactive/", account.account_inactive, name="account_inactive"),
    # The library sends people who are signed in already here; the address is on their own page.
    path("email/", RedirectView.as_view(pattern_name="me"), name="account_email"),
]

urlpatterns: list[URLPattern | URLResolver] = [
    path("", pages.home, name="home"),
    path("urgent/", pages.urgent, name="urgent"),
    path("policy/", pages.policy, name="policy"),
    path("worker.js", pages.worker, name="worker"),
    path("livez", health.livez, name="livez"),
    path("round/", day_list.round_view, name="round"),
    path("readyz", health.readyz, name="readyz"),
    path("accounts/", include(sign_in)),
    path("cases/<slug:case_id>/", board.board, name="board"),
    path("cases/<slug:case_id>/now/", board.board_now, name="board_now"),
    path("cases/<slug:case_id>/look/<slug:role>/", preview_as_role.look_as, name="look_as"),
    path("cases/<slug:case_id>/sheet/", sheet.sheet, name="sheet"),
    path("cases/<slug:case_id>/sheet.pdf", sheet.sheet_pdf, name="sheet_pdf"),
    path("cases/<slug:case_id>/sheet/issue/", sheet.sheet_issue_page, name="sheet_issue"),
    path("cases/<slug:case_id>/sheets/<int:number>/", sheet.sheet_issued, name="sheet_issued"),
    path(
        "cases/<slug:case_id>/sheets/<int:number>/progress/",
        sheet.sheet_progress,
        name="sheet_progress",
    ),
    path(
        "cases/<slug:case_id>/sheets/<int:number>/<slug:paper>.pdf",
        sheet.sheet_issued_pdf,
        name="sheet_issued_pdf",
    ),
    path("cases/<slug:case_id>/door-sheet.pdf", printouts.door, name="door_pdf"),
    path("cases/<slug:case_id>/both-sides.pdf", printouts.both, name="both_pdf"),
    path("cases/<slug:case_id>/visit-sheet.pdf", printouts.blank, name="blank_pdf"),
    path("round/sheet.pdf", printouts.round_sheet, name="round_pdf"),
    path("picture-card.pdf", printouts.picture_card, name="picture_card_pdf"),
    path("sheets/", sheet_verify.sheet_check, name="sheet_check"),
    path("sheets/<slug:code>/", sheet_verify.sheet_verify, name="sheet_verify"),
    path("cases/<slug:case_id>/copy/", export.case_export, name="case_export"),
    path("me/shelf/", kept.shelf, name="shelf"),
    path("me/former/", export.former_cases, name="former_cases"),
    path("me/former/<slug:former_id>/", export.former_copy, name="former_copy"),
    path("", include("horses.urls")),
    path("", include("measurements.urls")),
]
if settings.EMAIL_BACKEND == "caseboard.lib.mailbox.MailboxBackend" and not settings.PRODUCTION:
    urlpatterns += [
        path("mailbox/", mailbox.mailbox, name="mailbox"),
        path("mailbox/<slug:mail_id>/", mailbox.mail, name="mail"),
    ]
if settings.DEBUG:
    urlpatterns.append(path("looks/", pages.looks, name="looks"))

handler400 = "caseboard.views.trouble.bad_request"
handler403 = "caseboard.views.trouble.forbidden"
handler404 = "caseboard.views.trouble.not_found"
handler500 = "caseboard.views.trouble.server_error"
