"""Addresses of the numbers' side."""

from django.urls import path

from measurements.views import (
    card_asked,
    exam,
    farrier_help,
    foot,
    picture_points,
    picture_typed,
    readings,
    report_back,
    series,
    steps,
    targets,
    then_and_now,
    visit_as_last,
    visit_correct,
    visit_record,
    visit_setup,
    visit_void,
    worksheet,
)

CASE = "cases/<slug:case_id>/"
PICTURE = "pictures/<slug:picture_id>/"

urlpatterns = [
    path(CASE + "readings/new/", readings.readings_new, name="readings_new"),
    path(
        CASE + "readings/<slug:reading_id>/correct/",
        readings.reading_correct,
        name="reading_correct",
    ),
    path(CASE + "farrier/", farrier_help.farrier_help, name="farrier_help"),
    path(CASE + "shapes/", farrier_help.shapes, name="shapes"),
    path(CASE + "visits/as-last/", visit_as_last.visit_as_last_now, name="visit_as_last"),
    path(CASE + "visits/new/", visit_record.visit_new, name="visit_new"),
    path(
        CASE + "visits/<slug:visit_id>/correct/", visit_correct.visit_correct, name="visit_correct"
    ),
    path(
        CASE + "visits/<slug:visit_id>/take-back-report/",
        report_back.report_back,
        name="report_back",
    ),
    path(CASE + "visits/<slug:visit_id>/take-back/", visit_void.visit_void, name="visit_void"),
    path("me/visit-form/", visit_setup.visit_setup, name="visit_setup"),
    path(CASE + "barefoot-or-shod/", worksheet.worksheet, name="worksheet"),
    path(CASE + "card-asked/", card_asked.card_asked, name="card_asked"),
    path(CASE + PICTURE + "points/", picture_points.picture_points, name="picture_points"),
    path(CASE + PICTURE + "points/card/", picture_points.points_card, name="points_card"),
    path(CASE + PICTURE + "points/typed/", picture_typed.picture_typed, name="picture_typed"),
    path(CASE + PICTURE + "points/values/", picture_points.points_values, name="points_values"),
    path(
        CASE + PICTURE + "points/<slug:points_id>/",
        picture_points.points_shown,
        name="points_shown",
    ),
    path(CASE + "series/<slug:foot>/<slug:quantity>/", series.series, name="series"),
    path(CASE + "feet/<slug:foot>/", foot.foot, name="foot"),
    path(CASE + "exams/<slug:exam_id>/", exam.exam, name="exam"),
    path(CASE + "then-and-now/", then_and_now.then_and_now, name="then_and_now"),
    path(CASE + "steps/<slug:foot>/", steps.steps, name="steps"),
    path(CASE + "targets/new/", targets.target_new, name="target_new"),
]
