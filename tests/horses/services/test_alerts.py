"""What people say to an alert."""

from datetime import datetime

import pytest
from django.http import Http404

from horses.models import Alert, AlertResponse
from horses.services.alerts import alert_answer, alert_get, alert_see
from tests.stage import Stage

pytestmark = pytest.mark.django_db


def test_seeing_it_twice_is_said_once(stage: Stage, now: datetime) -> None:
    for _ in range(2):
        alert_see(access=stage.access("carer"), alert_id=stage.alert.public_id, now=now)
    assert AlertResponse.objects.get().kind == "seen"


def test_an_answer_does_not_clear_it(stage: Stage, now: datetime) -> None:
    alert_answer(
        access=stage.access("vet"), alert_id=stage.alert.public_id, words="I know.", now=now
    )
    assert Alert.objects.get().cleared_at is None


def test_an_alert_of_another_case_is_not_found(stage: Stage) -> None:
    with pytest.raises(Http404):  # the same person, on the horse's standing case
        alert_get(stage.cast.access(stage.cast.vet), stage.alert.public_id)


def test_an_alert_of_the_whole_horse_is_found_on_each_of_its_boards_only(stage: Stage) -> None:
    Alert.objects.update(case=None)
    cast = stage.cast
    for case in (cast.case, cast.concern):
        assert alert_get(cast.access(cast.vet, case), stage.alert.public_id) == stage.alert
    with pytest.raises(Http404):
        alert_get(cast.access(cast.other_vet, cast.other_case), stage.alert.public_id)
