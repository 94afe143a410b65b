"""How a person wants their list of horses to open. Their own, and no part of any case."""

from horses.models import Person


def herd_view_choose(*, person: Person, view: str) -> None:
    """No new version of the person: a form of theirs that is open elsewhere loses nothing by it."""
    Person.objects.filter(pk=person.pk).update(herd_view=Person.HerdView(view))
