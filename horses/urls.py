"""Addresses of the people's side. Everything about a case hangs under its id."""

from django.urls import path

from horses.views import (
    alerts,
    cases,
    exams,
    flags,
    history,
    horses,
    invitations,
    me,
    notes,
    notices,
    plan,
    shoes,
    team,
    visits,
)

CASE = "cases/<slug:case_id>/"

urlpatterns = [
    path("horses/", horses.horse_list, name="horses"),
    path("horses/new/", horses.horse_new, name="horse_new"),
    path("notices/", notices.notice_list, name="notices"),
    path("notices/choices/", notices.notice_choices, name="notice_choices"),
    path("unsubscribe/", notices.unsubscribe, name="unsubscribe"),
    path("me/", me.me, name="me"),
    path("invitations/<slug:token>/", invitations.invitation, name="invitation"),
    path(CASE + "horse/", horses.horse_edit, name="horse_edit"),
    path(CASE + "horse/state/", horses.horse_state, name="horse_state"),
    path(CASE + "horse/weight/", horses.weight_new, name="weight_new"),
    path(CASE + "open/", cases.case_open, name="case_open"),
    path(CASE + "close/", cases.case_close, name="case_close"),
    path(CASE + "team/", team.team, name="team"),
    path(CASE + "team/invite/", team.invite, name="invite"),
    path(CASE + "team/<slug:membership_id>/remove/", team.member_remove, name="member_remove"),
    path(
        CASE + "team/invitations/<slug:invitation_id>/revoke/",
        team.invitation_revoke,
        name="invitation_revoke",
    ),
    path(CASE + "flags/new/", flags.flag_new, name="flag_new"),
    path(CASE + "flags/<slug:flag_id>/", flags.flag, name="flag"),
    path(CASE + "flags/<slug:flag_id>/shoe/", shoes.shoe_back_new, name="shoe_back"),
    path(CASE + "lost-shoe/", shoes.lost_shoe, name="lost_shoe"),
    path(CASE + "flags/<slug:flag_id>/photos/<slug:photo_id>/", flags.photo, name="flag_photo"),
    path(
        CASE + "flags/<slug:flag_id>/photos/<slug:photo_id>/blank/",
        flags.photo_blank,
        name="photo_blank",
    ),
    path(CASE + "notes/new/", notes.note_new, name="note_new"),
    path(CASE + "exams/new/", exams.exam_new, name="exam_new"),
    path(CASE + "exams/<slug:exam_id>/", exams.exam, name="exam"),
    path(CASE + "plan/new/", plan.plan_new, name="plan_new"),
    path(CASE + "plan/<slug:item_id>/", plan.plan_item, name="plan_item"),
    path(CASE + "plan/<slug:item_id>/change/", plan.plan_change, name="plan_change"),
    path(CASE + "plan/<slug:item_id>/finish/", plan.plan_finish, name="plan_finish"),
    path(CASE + "plan/<slug:item_id>/reply/", plan.plan_reply, name="plan_reply"),
    path(CASE + "visits/plan/", visits.visit_plan, name="visit_plan"),
    path(CASE + "visits/<slug:visit_id>/cancel/", visits.visit_cancel, name="visit_cancel"),
    path(CASE + "alerts/<slug:alert_id>/", alerts.alert, name="alert"),
    path(CASE + "history/", history.history, name="history"),
]
