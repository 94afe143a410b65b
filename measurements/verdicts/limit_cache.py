"""Keeps the alarm limits of a series: they depend on its dates and methods, not on its values."""

from collections.abc import Iterator, MutableMapping

from django.core.cache import cache

KEEP_S = 60 * 60 * 24 * 90  # house default: longer than the time between two visits


class SharedLimits(MutableMapping[str, tuple[float, ...]]):
    """The limits in the cache that all processes share. Losing one costs a few milliseconds."""

    def __getitem__(self, key: str) -> tuple[float, ...]:
        found = cache.get(_name(key))
        if found is None:
            raise KeyError(key)
        return tuple(found)

    def __contains__(self, key: object) -> bool:
        return isinstance(key, str) and cache.get(_name(key)) is not None

    def __setitem__(self, key: str, value: tuple[float, ...]) -> None:
        cache.set(_name(key), value, KEEP_S)

    def __delitem__(self, key: str) -> None:
        cache.delete(_name(key))

    def __iter__(self) -> Iterator[str]:
        raise TypeError("a shared cache cannot be listed")

    def __len__(self) -> int:
        raise TypeError("a shared cache cannot be counted")


def _name(key: str) -> str:
    return f"limits:{key}"
