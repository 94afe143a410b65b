import json
import logging
from collections.abc import Iterator
from io import StringIO
from typing import Any

import pytest
import structlog

from caseboard.lib.logging.fields import logger, processors
from caseboard.lib.logging.request_id import new_request_id, request_id, request_id_bound


@pytest.fixture
def lines() -> Iterator[Any]:
    """Log as in production; calling the fixture gives the lines so far, as fields."""
    written = StringIO()
    handler = logging.StreamHandler(written)
    handler.setFormatter(structlog.stdlib.ProcessorFormatter(processors=processors(as_json=True)))
    library = logging.getLogger("a_test")
    library.addHandler(handler)
    library.setLevel(logging.INFO)
    library.propagate = False
    yield lambda: [json.loads(line) for line in written.getvalue().splitlines()]
    library.removeHandler(handler)


def test_a_line_has_its_fields_its_moment_and_its_place(lines: Any) -> None:
    logger("a_test").info("work.done", kind="notice.mail", count=3)
    (line,) = lines()
    assert line["event"] == "work.done"
    assert (line["kind"], line["count"]) == ("notice.mail", 3)
    assert (line["level"], line["logger"]) == ("info", "a_test")
    assert line["timestamp"].endswith("Z")


def test_a_librarys_plain_line_becomes_fields_too(lines: Any) -> None:
    logging.getLogger("a_test").warning("took %s ms", 12)
    assert lines()[0]["event"] == "took 12 ms"


def test_lines_of_one_click_carry_its_id(lines: Any) -> None:
    with request_id_bound("abc"):
        logger("a_test").info("inside")
        logging.getLogger("a_test").info("a library inside")
    logger("a_test").info("after")
    assert [line.get("request_id") for line in lines()] == ["abc", "abc", None]


@pytest.mark.parametrize("name", ["body", "code", "email", "note", "phone", "token", "words"])
def test_what_people_wrote_is_not_logged(lines: Any, name: str) -> None:
    logger("a_test").info("note.written", **{name: "she bites"})
    assert "she bites" not in json.dumps(lines())


def test_an_error_is_logged_with_where_it_happened(lines: Any) -> None:
    try:
        raise OSError("no such file")
    except OSError:
        logger("a_test").exception("page.failed")
    assert "test_logs.py" in lines()[0]["exception"]
    assert "no such file" in lines()[0]["exception"]


def test_each_id_is_new() -> None:
    assert len({new_request_id() for _ in range(100)}) == 100


def test_outside_of_a_click_there_is_no_id() -> None:
    assert request_id() == ""


def test_the_outer_id_is_back_after_an_inner_one() -> None:
    with request_id_bound("outer"):
        with request_id_bound("inner"):
            assert request_id() == "inner"
        assert request_id() == "outer"
