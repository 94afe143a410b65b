"""What an error says of a person's words stays out of the log; where it happened is in it."""

import json
import logging
import smtplib
from collections.abc import Callable, Iterator
from decimal import Decimal
from io import StringIO
from typing import Any

import pytest
import structlog
from django.core.exceptions import ValidationError
from django.db import IntegrityError, OperationalError, ProgrammingError
from django.db.models import IntegerField
from django.template import TemplateSyntaxError

from caseboard.lib.logging.errors import NOT_LOGGED
from caseboard.lib.logging.fields import logger, processors

TYPED = "she bites"
NOBODY: dict[str, str] = {}
Lines = Callable[[], str]


@pytest.fixture(params=[True, False], ids=["production", "development"])
def lines(request: pytest.FixtureRequest) -> Iterator[Lines]:
    """All that was logged so far, as text."""
    written = StringIO()
    handler = logging.StreamHandler(written)
    handler.setFormatter(
        structlog.stdlib.ProcessorFormatter(processors=processors(as_json=request.param))
    )
    library = logging.getLogger("a_test")
    library.addHandler(handler)
    library.setLevel(logging.INFO)
    library.propagate = False
    yield lambda: written.getvalue()
    library.removeHandler(handler)


def _raised(error: BaseException) -> None:
    raise error


def _chained() -> None:
    try:
        int(TYPED)
    except ValueError:
        raise OSError("no space left") from None


def _of_another() -> None:
    try:
        int(TYPED)
    except ValueError as error:
        raise OSError("no space left") from error


def _while_seen_to() -> None:
    try:
        int(TYPED)
    except ValueError:
        NOBODY["fourth foot"]


def _noted() -> None:
    error = OSError("no space left")
    error.add_note(TYPED)
    raise error


QUOTES: dict[str, Callable[[], Any]] = {
    "a number that is none": lambda: int(TYPED),
    "a decimal": lambda: Decimal(TYPED),
    "a key": lambda: NOBODY[TYPED],
    "a field with its text": lambda: IntegerField(name="foot").get_prep_value(TYPED),
    "a field with a list": lambda: IntegerField(name="foot").get_prep_value([TYPED]),
    "what is not valid": lambda: _raised(ValidationError(f"“{TYPED}” is not a day.")),
    "letters that do not fit": lambda: f"{TYPED} ü".encode("ascii"),
    "our own words": lambda: _raised(RuntimeError(f"odd: {TYPED}")),
    "a mail server's": lambda: _raised(smtplib.SMTPDataError(554, TYPED.encode())),
    "the cause": _of_another,
    "the one before": _while_seen_to,
    "several at once": lambda: _raised(ExceptionGroup(TYPED, [ValueError(TYPED), OSError("x")])),
    "a note": _noted,
    "a row": lambda: _raised(IntegrityError(f"doubled\nDETAIL:  Key (name)=({TYPED}) is there.")),
    "a statement": lambda: _raised(ProgrammingError(f"no column x\nLINE 1: SELECT '{TYPED}'\n ^")),
}


@pytest.mark.parametrize("what", QUOTES)
@pytest.mark.parametrize("name_it", [False, True], ids=["plainly", "with its words in the line"])
def test_what_an_error_quotes_is_not_logged(lines: Lines, what: str, name_it: bool) -> None:
    try:
        QUOTES[what]()
    except Exception as error:
        if name_it and what not in ("a note", "a row", "a statement", "the cause"):
            logging.getLogger("a_test").exception("failed: %r, that is %s", error, error)
        else:
            logger("a_test").exception("page.failed")
    assert "test_log_errors.py" in lines()  # the way to it is there
    assert TYPED not in lines()


def test_its_kind_is_logged(lines: Lines) -> None:
    try:
        int(TYPED)
    except ValueError:
        logger("a_test").exception("page.failed")
    assert f"ValueError: {NOT_LOGGED}" in lines()


@pytest.mark.parametrize(
    "error",
    [
        OSError(28, "No space left on device"),
        OperationalError("database is locked"),
        AttributeError("'Horse' object has no attribute 'wings'"),
        ConnectionRefusedError("refused"),
        TemplateSyntaxError("Invalid filter: 'x'"),
    ],
    ids=repr,
)
def test_what_speaks_of_the_program_and_the_machine_is_logged(
    lines: Lines, error: Exception
) -> None:
    try:
        raise error
    except Exception:
        logger("a_test").exception("page.failed")
    assert str(error) in lines()


def test_those_it_came_of_are_logged_with_their_places(lines: Lines) -> None:
    try:
        _of_another()
    except OSError:
        logger("a_test").exception("page.failed")
    text = lines().replace("\\n", "\n")
    assert text.index("ValueError:") < text.index("Which led to") < text.index("no space left")
    assert text.count("Traceback (most recent") == 2


def test_what_was_left_behind_on_purpose_is_not_logged(lines: Lines) -> None:
    try:
        _chained()
    except OSError:
        logger("a_test").exception("page.failed")
    assert "ValueError" not in lines()


def test_an_error_that_came_of_itself_ends(lines: Lines) -> None:
    first, second = OSError("first"), OSError("second")
    first.__cause__, second.__cause__ = second, first
    logging.getLogger("a_test").error("page.failed", exc_info=first)
    assert lines().count("OSError") == 2


def test_in_production_each_line_is_whole(lines: Lines) -> None:
    try:
        _of_another()
    except OSError:
        logger("a_test").exception("page.failed")
    if lines().startswith("{"):
        assert json.loads(lines())["event"] == "page.failed"
