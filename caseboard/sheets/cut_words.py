"""Which texts of a shorter draft of the sheet were cut: the paper says so. Pure."""

from collections.abc import Iterator

from caseboard.sheets.plan_value import Sheet


def cut_words(draft: Sheet) -> Iterator[bool]:
    """Whether each of its texts was cut; items say so themselves, and the marks' names are above."""
    names = (draft.horse_name, draft.horse_words, draft.identity, draft.case_title, draft.shoeing)
    words = (draft.grade, draft.danger, draft.outcome_words, draft.outcome_numbers)
    team = [word for p in (*draft.people, *draft.signers) for word in (p.role, p.name)]
    feet = [word for foot in draft.feet for word in (foot.label, foot.shoeing)]
    values = [value for foot in draft.feet for value in foot.values]
    feet += [word for v in values for word in (v.label, v.value, v.when, v.trend)]
    feet += [band.words for v in values for band in v.bands]
    called = (draft.emergency_name, draft.made_by, draft.next_visit, *draft.open_points)
    called += draft.urgent_points
    yield from ("…" in text for text in draft.before_cutting)
    yield from (text.endswith("…") for text in (*names, *words, *team, *feet, *called))
