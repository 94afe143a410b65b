"""What stays of words and points on a shorter draft of the sheet. Pure."""

Words = tuple[str, ...]


def points_kept(urgent: Words, points: Words, most: int | None) -> tuple[Words, Words, int]:
    """The urgent ones first, and of them always one; the others as far as there is room; how many
    went. None keeps all."""
    if most is None:
        return urgent, points, 0
    first = urgent[: max(most, 1)]
    rest = points[: max(most - len(first), 0)]
    return first, rest, len(urgent) + len(points) - len(first) - len(rest)


def short_name(name: str, limit: int) -> str:
    """A person's name in a narrow column: "A. Longfellow" rather than "Annabel Lon…"."""
    *first, last = name.split() or [""]
    initials = " ".join([*(f"{part[0]}." for part in first), last])
    return name if len(name) <= limit else cut(initials, limit)


def cut(text: str, limit: int) -> str:
    return text if len(text) <= limit else text[: limit - 1].rstrip() + "…"
