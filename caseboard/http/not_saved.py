"""The page for a form that could not be saved, because the disk or the database takes nothing new."""

import errno
import sqlite3

from django.db import DatabaseError, InternalError, OperationalError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.template import loader

from caseboard.http.held_form import held_form
from caseboard.lib.logging.fields import logger

log = logger("caseboard.pages")
RETRY_AFTER_S = 60  # house default: somebody has to make room meanwhile
READ_ONLY = "25006"  # SQLSTATE read_only_sql_transaction (PostgreSQL manual, appendix A)
NO_ROOM = (errno.ENOSPC, errno.EDQUOT, errno.EROFS, errno.EFBIG)


def is_refused_write(error: BaseException) -> bool:
    """Whether it speaks of the database or the disk as they are now, and not of a fault of ours."""
    match error:
        case OperationalError():
            # SQLite says "no such table" by the same kind: a fault of ours.
            return getattr(error.__cause__, "sqlite_errorcode", None) != sqlite3.SQLITE_ERROR
        case InternalError():
            return getattr(error.__cause__, "sqlstate", "") == READ_ONLY
        case OSError():
            return error.errno in NO_ROOM
    return False


def not_saved_page(request: HttpRequest, error: BaseException) -> HttpResponse:
    page = request.resolver_match.view_name if request.resolver_match else ""
    log.error("not_saved", page=page, error=type(error).__name__)
    try:
        response = render(request, "503.html", held_form(request), status=503)
    except DatabaseError:  # not even who asks can be read
        response = away_page()
    response["Retry-After"] = str(RETRY_AFTER_S)
    response["Cache-Control"] = "private, no-store"
    return response


def away_page() -> HttpResponse:
    """Nothing can be read either: drawn without the request."""
    words = loader.get_template("500.html").render({"away": True})
    return HttpResponse(words, status=503, headers={"Retry-After": str(RETRY_AFTER_S)})
