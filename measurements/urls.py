"""Addresses of the numbers' side."""

from django.urls import path

from measurements.views import (
    farrier_help,
    foot,
    readings,
    report_back,
    series,
    steps,
    targets,
    visit_as_last,
    visit_correct,
    visit_record,
    visit_setup,
    visit_void,
    worksheet,
)

CASE = "cases/<slug:case_id>/"

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
    path(CASE + "series/<slug:foot>/<slug:quantity>/", series.series, name="series"),
    path(CASE + "feet/<slug:foot>/", foot.foot, name="foot"),
    path(CASE + "steps/<slug:foot>/", steps.steps, name="steps"),
    path(CASE + "targets/new/", targets.target_new, name="target_new"),
]
