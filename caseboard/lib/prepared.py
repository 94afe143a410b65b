"""Queries that Django builds and compiles once: whoever asks again only puts the values in.

Django takes longer to build and compile a query than an embedded database to answer it: seven
milliseconds for the alerts of a board, a tenth of that for the answer. A prepared query is built
with stand-ins for its values, compiled, and kept for the process; its rows are made by Django's own
iterator, related objects and annotations included.

    _MEMBER = Prepared(lambda person, case: Membership.objects.filter(person=person, case=case))
    rows = _MEMBER.rows(person=3, case="7kq…")

Only for queries that are asked on almost every page and whose values are numbers of rows or words:
`build` may look at no value, because it meets stand-ins. What varies otherwise, a role, a day, is a
prepared query of its own (`functools.lru_cache`).

Decided 2026-11: the road not taken is raw SQL in place of these queries, which would part them from
the conditions that other queries share with them.
"""

import inspect
from collections.abc import Callable, Iterator
from typing import Any, Generic, TypeVar

from django.db import connection
from django.db.models import Model, QuerySet
from django.db.models.query import ModelIterable

M = TypeVar("M", bound=Model)
Value = int | str
# What no row and no word of ours is ever equal to.
_NO_ROW, _NO_WORD = -7_000_000_000_000, "\ue000 stand-in"


class Prepared(Generic[M]):
    """A query of whole rows. `build` names its values: those called `*_id` or `pk` and all others
    that the first call gives as numbers are numbers of rows, the rest words."""

    def __init__(self, build: Callable[..., QuerySet[M]]) -> None:
        self._build = build
        self._names = tuple(inspect.signature(build).parameters)
        self._ready: _Compiled | None = None

    def rows(self, **values: Value) -> list[M]:
        return list(ModelIterable(self._asked(values)))  # type: ignore[arg-type]  # asks of a queryset what this has

    def count(self, **values: Value) -> int:
        """How many rows there are."""
        asked = self._asked(values)
        with connection.cursor() as cursor:
            cursor.execute(f"SELECT COUNT(*) FROM ({asked.sql}) AS found", asked.params)
            return int(cursor.fetchone()[0])

    def _asked(self, values: dict[str, Value]) -> "_Asked":
        if self._ready is None:
            self._ready = _Compiled(self._build, {n: values[n] for n in self._names})
        return self._ready.asked(values)


class _Compiled:
    """The statement with the places of its values."""

    def __init__(self, build: Callable[..., QuerySet[Any]], like: dict[str, Value]) -> None:
        stand_ins: dict[str, Value] = {
            name: f"{_NO_WORD} {n}" if isinstance(value, str) else _NO_ROW - n
            for n, (name, value) in enumerate(like.items())
        }
        queryset = build(**stand_ins)
        self.compiler = queryset.query.get_compiler(queryset.db)
        self.sql, params = self.compiler.as_sql()
        names = {value: name for name, value in stand_ins.items()}
        self.params = [(names.get(p) if isinstance(p, int | str) else None, p) for p in params]
        missing = stand_ins.keys() - {name for name, _ in self.params}
        if missing:
            raise ValueError(f"not compared as they are: {', '.join(sorted(missing))}")

    def asked(self, values: dict[str, Value]) -> "_Asked":
        return _Asked(self, [values[name] if name else param for name, param in self.params])


class _Asked:
    """What Django's iterator needs of a queryset, of its query and of its compiler."""

    _known_related_objects: dict[Any, Any] = {}

    def __init__(self, compiled: _Compiled, params: list[Any]) -> None:
        self.query = self
        self.db = connection.alias
        self.sql, self.params, self._compiler = compiled.sql, params, compiled.compiler
        compiler = compiled.compiler
        self.select, self.klass_info = compiler.select, compiler.klass_info
        self.annotation_col_map = compiler.annotation_col_map

    def get_compiler(self, using: str) -> "_Asked":
        return self

    def execute_sql(self, **_: Any) -> list[list[tuple[Any, ...]]]:
        with connection.cursor() as cursor:
            cursor.execute(self.sql, self.params)
            return [cursor.fetchall()]

    def results_iter(self, results: Any) -> Iterator[Any]:
        rows: Iterator[Any] = self._compiler.results_iter(results)
        return rows
