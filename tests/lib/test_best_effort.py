import pytest
from django.db import DatabaseError

from caseboard.lib.best_effort import best_effort
from horses.models import Counter
from tests.no_writes import no_writes

pytestmark = pytest.mark.django_db


def write() -> str:
    Counter.objects.create(name="a", count=1, until_s=1)
    return "written"


def test_it_writes_when_it_can() -> None:
    assert best_effort("test", write, otherwise="") == "written"
    assert Counter.objects.count() == 1


def test_it_goes_on_when_it_cannot_and_takes_nothing_with_it() -> None:
    Counter.objects.create(name="before", count=1, until_s=1)
    with no_writes():
        assert best_effort("test", write, otherwise="left out") == "left out"
        assert Counter.objects.get().name == "before"


def test_half_of_it_is_never_left() -> None:
    def half() -> None:
        write()
        raise DatabaseError("the second half")

    best_effort("test", half, otherwise=None)
    assert not Counter.objects.exists()


def test_a_fault_of_the_programs_own_is_not_hidden() -> None:
    def broken() -> None:
        raise ValueError("ours")

    with pytest.raises(ValueError, match="ours"):
        best_effort("test", broken, otherwise=None)
