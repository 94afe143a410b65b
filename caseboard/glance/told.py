"""The rows about what others said: a day that passed is asked about, and a report waits for a yes."""

from caseboard.board import Board
from caseboard.glance.asks import Soon
from caseboard.glance.row import Button, Row
from horses.domain.wording import day_words
from horses.models import Visit
from horses.queries.visit_questions import Question

HERE = "#word"  # the buttons stand on the same page


def told_rows(board: Board) -> list[Row]:
    """One row each, answered a tap further down the page."""
    asked = [_asked(question) for question in board.word.questions]
    return asked + [_reported(visit) for visit in board.word.to_confirm]


def _asked(question: Question) -> Row:
    return _row(question.words, "Yes, moved or no: whoever looks first says so.", "Answer")


def _reported(visit: Visit) -> Row:
    words = f"{visit.reported_name} reported a visit of {day_words(visit.kept_on)}"
    return _row(words, "Was it so? Say yes, or correct it.", "Answer")


def _row(words: str, step: str, label: str) -> Row:
    return Row(
        feet=(),
        headline=words.rstrip("."),
        soon=Soon.WORD,
        when="",
        step=step,
        button=Button(label, HERE, f"{label}: {words}", False),
        href=HERE,
        foot_word="",
        is_danger=False,
    )
