"""Every verb that the code writes into the history has its sentence; every line can be told."""

import ast
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from horses.models import HistoryLine, Horse, PlanItem
from horses.presenters.history_sentences import SENTENCES, history_sentence, history_told

ROOT = Path(__file__).resolve().parents[3]
FRAME = ROOT / "horses/services/deed.py"
# What can stand in the place of a name inside a verb that is put together.
PUT_TOGETHER = {
    "horse.": set(Horse.State.values),
    "plan.item.": set(PlanItem.Status.values) - {"open"},
}


def verbs_written() -> dict[str, str]:
    """Each verb handed to `history_append` or to the line of a deed in the code, with where."""
    found: dict[str, str] = {}
    for folder in ("caseboard", "horses", "measurements"):
        for path in sorted((ROOT / folder).rglob("*.py")):
            if path == FRAME:  # hands on what it is given
                continue
            text = path.read_text()
            tree, lines = ast.parse(text), "horses.services.deed import" in text
            constants = _named_in(tree.body)
            for function in (n for n in ast.walk(tree) if isinstance(n, ast.FunctionDef)):
                for verb in _verbs_in(function, constants, lines=lines):
                    found[verb] = f"{path.relative_to(ROOT)}: {function.name}"
    return found


def _named_in(nodes: Iterable[ast.AST]) -> dict[str, ast.expr]:
    return {
        target.id: node.value
        for node in nodes
        if isinstance(node, ast.Assign)
        for target in node.targets
        if isinstance(target, ast.Name)
    }


def _verbs_in(
    function: ast.FunctionDef, constants: dict[str, ast.expr], *, lines: bool
) -> Iterator[str]:
    """`lines`: the file knows the frame of a deed, so a `.line(…)` in it is one of the history."""
    names = constants | _named_in(ast.walk(function))
    for call in (n for n in ast.walk(function) if isinstance(n, ast.Call)):
        if getattr(call.func, "id", "") == "history_append":
            (verb,) = [word.value for word in call.keywords if word.arg == "verb"]
            yield from _values(verb, names)
        elif lines and getattr(call.func, "attr", "") == "line":
            yield from _values(call.args[0], names)


def _values(node: ast.expr, names: dict[str, ast.expr]) -> Iterator[str]:
    """The texts that an expression can be: a constant, either side of a choice, put together."""
    if isinstance(node, ast.Name):
        yield from _values(names[node.id], names)
    elif isinstance(node, ast.IfExp):
        yield from _values(node.body, names)
        yield from _values(node.orelse, names)
    elif isinstance(node, ast.Subscript):
        assert isinstance(node.value, ast.Name)
        table = names[node.value.id]
        assert isinstance(table, ast.Dict)
        for value in table.values:
            yield from _values(value, names)
    elif isinstance(node, ast.JoinedStr):
        start = node.values[0]
        assert isinstance(start, ast.Constant)
        for end in PUT_TOGETHER[str(start.value)]:
            yield str(start.value) + end
    else:
        assert isinstance(node, ast.Constant), ast.dump(node)
        yield str(node.value)


def test_the_walk_finds_the_verbs() -> None:
    found = set(verbs_written())
    assert {"flag.raised", "note.corrected", "plan.item.withdrawn", "visit.moved"} <= found
    assert {"horse.ended", "team.left", "readings.recorded", "alert.raised"} <= found


def test_every_verb_that_is_written_has_a_sentence() -> None:
    missing = {v: place for v, place in verbs_written().items() if v not in SENTENCES}
    assert missing == {}


def test_every_sentence_is_of_a_verb_that_is_written() -> None:
    assert set(SENTENCES) - set(verbs_written()) == set()


def line(verb: str, after: Any = None, before: Any = None, **more: Any) -> HistoryLine:
    fields = {"actor_name": "Vera Vet", "actor_role": "vet", **more}
    return HistoryLine(verb=verb, after=after, before=before, **fields)


@pytest.mark.parametrize("verb", sorted(SENTENCES))
def test_a_line_that_kept_nothing_is_still_told(verb: str) -> None:
    assert history_sentence(line(verb)).startswith("Vera Vet (vet) ")


def test_a_verb_without_an_entry_is_told_by_its_own_name() -> None:
    assert history_sentence(line("saddle.fitted_anew")) == (
        "Vera Vet (vet) did this: saddle fitted anew."
    )


@pytest.mark.parametrize(
    ("verb", "after", "before", "sentence"),
    [
        (
            "flag.raised",
            {
                "signs": ["Short stride", "Stumbles"],
                "feet": ["LF", "RF"],
                "since": "2026-11-01",
                "words": "Worse downhill.",
                "urgency": "next_visit",
            },
            None,
            "said something is not right: Short stride; Stumbles, left fore and right fore, since "
            "1 Nov 2026: Worse downhill.",
        ),
        (
            "flag.raised",
            {"signs": ["Rocked back"], "urgency": "now"},
            None,
            "said something is not right (phone the vet now): Rocked back.",
        ),
        (
            "flag.answered",
            {"kind": "answered", "words": "", "closes": True},
            None,
            "answered a flag in words for a part of the team, which closes it.",
        ),
        (
            "flag.answered",
            {"kind": "vet_phoned", "words": "Leave it in.", "closes": True},
            None,
            "wrote down what the vet said on the phone about a flag, which closes it: Leave it in.",
        ),
        (
            "exam.recorded",
            {"grade": "aaep 3", "feet": ["LF"], "words": "Sore."},
            None,
            "recorded an examination, grade 3 on the AAEP 0 to 5 scale, left fore looked at: Sore.",
        ),
        (
            "visit.moved",
            {"on": "2026-11-20"},
            {"on": "2026-11-13"},
            "moved the next visit to 20 Nov 2026 (before: 13 Nov 2026).",
        ),
        (
            "readings.recorded",
            {"on": "2026-10-12", "readings": ["LF toe_angle 52,5 deg gauge after"]},
            None,
            "recorded 1 measurement of 12 Oct 2026.",
        ),
        (
            "reading.corrected",
            {"value": "LF toe_length 3 1/4 in", "reason": "Misread."},
            {"value": "LF toe_length 3 3/4 in"},
            "corrected a measurement to left fore toe length 3 1/4 in (before: left fore toe length "
            "3 3/4 in): Misread.",
        ),
        (
            "reading.corrected",
            {"value": "taken off the series", "reason": "Wrong horse"},
            None,
            "took a measurement off the series: Wrong horse.",
        ),
        (
            "team.joined",
            {"role": "farrier", "stand_in": True},
            None,
            "joined the team as stand-in farrier.",
        ),
        (
            "plan.item.changed",
            {"item": 3, "version": 2, "text": "On sand."},
            {"text": "On grass."},
            "changed plan item 3, version 2 (before: On grass.): On sand.",
        ),
    ],
)
def test_lines_read_as_plain_sentences(verb: str, after: Any, before: Any, sentence: str) -> None:
    assert history_sentence(line(verb, after, before)) == f"Vera Vet (vet) {sentence}"


def test_what_the_board_did_itself_has_no_role() -> None:
    told = history_sentence(
        line("alert.raised", {"sentence": "Look."}, actor_name="the board", actor_role="")
    )
    assert told == "The board raised an alert: Look."


def test_measurements_are_listed_in_words() -> None:
    told = history_told(
        line("readings.recorded", {"readings": ["LF toe_length 3 1/4 in tape before", "odd"]})
    )
    assert told.details == ("Left fore toe length 3 1/4 in, tape, before the trim", "Odd")


def test_a_long_text_is_shortened_in_a_list_and_whole_on_its_own() -> None:
    body = "word " * 500
    assert len(history_sentence(line("note.written", {"body": body}))) < 500
    assert history_told(line("note.written", {"body": body})).quote == body


plain = st.none() | st.booleans() | st.integers() | st.text(max_size=10)
known = st.sampled_from(
    ["on", "words", "reason", "text", "item", "version", "role", "grade", "value", "since", "from"]
)


@settings(max_examples=150, deadline=None)
@given(st.sampled_from(sorted(SENTENCES)), st.dictionaries(known, plain, max_size=6))
def test_no_line_is_too_odd_to_be_told(verb: str, after: dict[str, Any]) -> None:
    assert history_sentence(line(verb, after)).startswith("Vera Vet (vet) ")
