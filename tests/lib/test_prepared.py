"""Queries compiled once: the same rows as the query itself, whatever the values."""

from datetime import datetime

import pytest
from django.db import connection
from django.db.models import Count, F, QuerySet
from django.test.utils import CaptureQueriesContext

from caseboard.lib.prepared import Prepared
from horses.models import Case, Membership
from tests.cast import Cast


def _members(person: int, case: str) -> QuerySet[Membership]:
    rows = Membership.objects.filter(person=person, case__public_id=case)
    return rows.select_related("case__horse").annotate(named=F("person__name")).order_by("pk")


def test_the_rows_are_those_of_the_query_with_what_comes_along(cast: Cast) -> None:
    members = Prepared(_members)
    for who in (cast.owner, cast.vet, cast.removed, cast.stranger):
        for case in (cast.case, cast.concern):
            expected = list(_members(who.pk, case.public_id))
            found = members.rows(person=who.pk, case=case.public_id)
            assert found == expected
            assert [m.named for m in found] == [m.named for m in expected]  # type: ignore[attr-defined]
            with CaptureQueriesContext(connection) as queries:
                assert all(m.case.horse == cast.horse for m in found)
            assert len(queries) == 0


def test_it_is_built_once_and_asked_each_time(cast: Cast, now: datetime) -> None:
    built = []

    def build(horse: int) -> QuerySet[Case]:
        built.append(horse)
        return Case.objects.filter(horse=horse).annotate(members=Count("memberships"))

    cases = Prepared(build)
    assert len(cases.rows(horse=cast.horse.pk)) == 2
    Case.objects.create(
        horse=cast.horse, kind="concern", title="Thrush", opened_at=now, opened_by=cast.owner
    )
    with CaptureQueriesContext(connection) as queries:
        assert len(cases.rows(horse=cast.horse.pk)) == 3
    assert len(queries) == 1
    assert len(built) == 1


def test_rows_are_counted_without_being_read(cast: Cast) -> None:
    members = Prepared(_members)
    with CaptureQueriesContext(connection) as queries:
        assert members.count(person=cast.vet.pk, case=cast.case.public_id) == 1
        assert members.count(person=cast.stranger.pk, case=cast.case.public_id) == 0
    assert len(queries) == 2


def test_a_word_that_holds_sql_is_only_a_word(cast: Cast) -> None:
    members = Prepared(_members)
    assert members.rows(person=cast.owner.pk, case="' OR 1=1 --%s") == []


def test_a_value_that_is_looked_at_while_building_is_refused(cast: Cast) -> None:
    titled = Prepared(lambda words: Case.objects.filter(title=words.upper() + "!"))
    with pytest.raises(ValueError, match="words"):
        titled.rows(words="thrush")
