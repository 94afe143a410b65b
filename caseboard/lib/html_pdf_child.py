"""The process that makes PDFs: reads documents from its standard input until that closes.

Started by caseboard/lib/html_pdf.py; knows neither Django nor the database, and opens no file but
our static ones. What a document asks for beyond that is left out of it.
"""

import base64
import json
import os
import signal
import sys
from pathlib import Path
from typing import IO, Any
from urllib.parse import unquote, urlsplit

from caseboard.lib.pipe_messages import read_message, write_message

DOCUMENT_ADDRESS = "https://sheet.invalid/"  # a name that never resolves (RFC 2606)


def main() -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the parent, which ends us
    answers = _take_over_stdout()
    conf = json.loads(os.environ["HTML_PDF"])
    _limit_memory(conf["memory_mb"])
    render = _renderer(conf)
    while True:
        try:
            request = read_message(sys.stdin.buffer)
        except EOFError:
            return
        write_message(answers, render(request))


def _take_over_stdout() -> IO[bytes]:
    """Our answers keep the pipe to themselves; whatever a library prints goes to the log."""
    pipe = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    return pipe


def _limit_memory(megabytes: int) -> None:
    if sys.platform == "win32":  # has no such limit; the time limit still holds
        return
    import resource

    limit = megabytes * 1024 * 1024
    resource.setrlimit(resource.RLIMIT_AS, (limit, limit))


def _renderer(conf: dict[str, Any]) -> Any:
    """A function from request to answer; without the system's library, one that says so."""
    try:
        import weasyprint
    except OSError:
        return lambda request: {"state": "unavailable"}
    fetcher = make_fetcher(conf["static_url"], [Path(root) for root in conf["static_roots"]])

    def render(request: dict[str, Any]) -> dict[str, Any]:
        try:
            pdf, chosen = _render(weasyprint, fetcher, request)
        except Exception as error:
            # The kind only: its text may quote what people wrote.
            return {"state": "failed", "why": type(error).__name__}
        return {"state": "done", "pdf": base64.b64encode(pdf).decode(), "chosen": chosen}

    return render


def _render(weasyprint: Any, fetcher: Any, request: dict[str, Any]) -> tuple[bytes, int]:
    """The first of the documents that fits its pages, else the last; and which one it was.

    Each document is taken to be shorter than the one before it, so that halving finds it.
    """
    size = weasyprint.CSS(string=f"@page {{ size: {request['page_size']} }}", url_fetcher=fetcher)
    options = {"pdf_variant": "pdf/ua-1", "pdf_tags": True}
    documents: list[str] = request["documents"]
    most_pages = request["most_pages"] or sys.maxsize

    def lay_out(place: int) -> Any:
        source = weasyprint.HTML(
            string=documents[place], base_url=DOCUMENT_ADDRESS, url_fetcher=fetcher
        )
        return source.render(stylesheets=[size], **options)

    chosen, laid_out = 0, lay_out(0)
    if len(laid_out.pages) > most_pages and len(documents) > 1:
        chosen, laid_out = _first_fitting(lay_out, len(documents), most_pages)
    return laid_out.write_pdf(**options), chosen


def _first_fitting(lay_out: Any, count: int, most_pages: int) -> tuple[int, Any]:
    """Halves the drafts after the first between "too long" and "fits"; the last one is the rest."""
    too_long, fits, best = 0, count - 1, None
    while fits - too_long > 1:
        middle = (too_long + fits) // 2
        laid_out = lay_out(middle)
        if len(laid_out.pages) > most_pages:
            too_long = middle
        else:
            fits, best = middle, laid_out
    return fits, best or lay_out(fits)


class Refused(ValueError):
    """An address that a sheet has no business with."""


def static_file(address: str, static_url: str, roots: list[Path]) -> Path:
    """The file behind one of our static addresses; raises Refused for anything else."""
    path = unquote(urlsplit(address).path)
    if not address.startswith(DOCUMENT_ADDRESS) or not path.startswith(static_url):
        raise Refused(address[:80])
    for root in roots:
        file = (root / path.removeprefix(static_url)).resolve()
        if file.is_file() and file.is_relative_to(root):
            return file
    raise Refused(address[:80])


def make_fetcher(static_url: str, roots: list[Path]) -> Any:
    import mimetypes

    from weasyprint.urls import URLFetcher, URLFetcherResponse

    class OwnFilesOnly(URLFetcher):  # type: ignore[misc]
        def fetch(self, url: str, headers: Any = None) -> Any:
            if url.startswith("data:"):
                return super().fetch(url, headers)
            file = static_file(url, static_url, roots)
            kind = mimetypes.guess_type(file.name)[0] or "application/octet-stream"
            return URLFetcherResponse(url, file.read_bytes(), {"Content-Type": kind})

    return OwnFilesOnly(allowed_protocols=["data"], allow_redirects=False)


if __name__ == "__main__":
    main()
