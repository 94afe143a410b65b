"""The process that makes PDFs: reads documents from its standard input until that closes.

Started by caseboard/lib/pdf/parent.py; knows neither Django nor the database, and opens no file but
our static ones. What a document asks for beyond that is left out of it.
"""

import base64
import gc
import json
import os
import signal
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import IO, Any, ClassVar
from urllib.parse import unquote, urljoin, urlsplit
from xml.etree import ElementTree

from caseboard.lib.pdf.pipe_messages import read_message, write_message

DOCUMENT_ADDRESS = "https://sheet.invalid/"  # a name that never resolves (RFC 2606)
DOCTYPE = "<!doctype html>"
SVG = "{http://www.w3.org/2000/svg}"
END = "end-of-sheet"  # the id that a document may give to its last line, to be measured by


def main() -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for the parent, which ends us
    answers = _take_over_stdout()
    conf = json.loads(os.environ["HTML_PDF"])
    _limit_memory(conf["memory_mb"])
    answer = _answerer(conf)
    # A layout makes a few hundred thousand objects that live until it is written: looking through
    # them again and again for rings took a third of the time. They are looked for between layouts.
    gc.disable()
    gc.freeze()
    while True:
        try:
            request = read_message(sys.stdin.buffer)
        except EOFError:
            return
        write_message(answers, _within(request.pop("cpu_s"), answer, request))
        gc.collect()


def _within(
    cpu_s: float, answer: Callable[[dict[str, Any]], dict[str, Any]], request: dict[str, Any]
) -> dict[str, Any]:
    """The answer, with the processor time it took. The system ends this process when it takes more
    than `cpu_s`, also in the midst of a library's own code."""
    began_s = time.process_time()
    if hasattr(signal, "setitimer"):  # not on Windows, where the parent's clock still holds
        signal.setitimer(signal.ITIMER_PROF, cpu_s)
    try:
        answered = answer(request)
    finally:
        if hasattr(signal, "setitimer"):
            signal.setitimer(signal.ITIMER_PROF, 0)
    return {**answered, "cpu_s": time.process_time() - began_s}


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


def _answerer(conf: dict[str, Any]) -> Callable[[dict[str, Any]], dict[str, Any]]:
    """A function from request to answer; without the system's library, one that says so."""
    try:
        import weasyprint
    except OSError:
        return lambda request: {"state": "unavailable"}
    press = Press(weasyprint, conf["static_url"], [Path(root) for root in conf["static_roots"]])

    def answer(request: dict[str, Any]) -> dict[str, Any]:
        try:
            if request["do"] == "write":
                pdf = press.write(request["draft"])
                return {"state": "done", "pdf": base64.b64encode(pdf).decode()}
            pages, end = press.lay_out(**request["page"])
        except Exception as error:
            # The kind only: its text may quote what people wrote.
            return {"state": "failed", "why": type(error).__name__}
        return {"state": "done", "pages": pages, "end": end}

    return answer


class Press:
    """Lays documents out and writes them, with fonts and style sheets that are read once.

    Unpacking the fonts took longer than laying out a full sheet.
    """

    OPTIONS: ClassVar = {"pdf_variant": "pdf/ua-1", "pdf_tags": True}

    def __init__(self, weasyprint: Any, static_url: str, roots: list[Path]) -> None:
        from cssselect2 import ElementWrapper  # type: ignore[import-untyped]  # no types published
        from weasyprint.text.fonts import FontConfiguration

        self.wrapped = ElementWrapper.from_html_root
        self.weasyprint = weasyprint
        self.static_url, self.roots = static_url, roots
        self.fetcher = make_fetcher(static_url, roots)
        self.fonts = FontConfiguration()
        self.styles: dict[tuple[str, int], Any] = {}
        self.laid_out: dict[int, Any] = {}

    def lay_out(
        self, *, draft: int, html: str, page_size: str, most_pages: int
    ) -> tuple[int, float]:
        """How many pages it takes, and where on the last of them its mark END ends, in CSS pixels
        (0 without a mark). Kept to be written when it takes no more pages than it may.

        Draft 0 begins another sheet: what was kept of the one before is forgotten.
        """
        if draft == 0:
            self.laid_out.clear()
        source = self._read(html)
        size = self.weasyprint.CSS(
            string=f"@page {{ size: {page_size} }}", url_fetcher=self.fetcher
        )
        document = source.render(
            stylesheets=[size, *self._styles(source)], font_config=self.fonts, **self.OPTIONS
        )
        if len(document.pages) <= (most_pages or sys.maxsize):
            self.laid_out[draft] = document
        end = document.pages[-1].anchors.get(END, (0.0,))[-1]  # left, top, right, bottom
        return len(document.pages), end

    def _read(self, html: str) -> Any:
        """The document as the library holds it: read as XML where it is that, else by the library."""
        page = {"base_url": DOCUMENT_ADDRESS, "url_fetcher": self.fetcher}
        root = well_formed(html)
        if root is None:
            return self.weasyprint.HTML(string=html, **page)
        source = self.weasyprint.HTML(string="", **page)
        source.wrapper_element = self.wrapped(root, content_language=None)
        source.etree_element = root
        return source

    def write(self, draft: int) -> bytes:
        pdf: bytes = self.laid_out[draft].write_pdf(**self.OPTIONS)
        self.laid_out.clear()
        return pdf

    def _styles(self, source: Any) -> list[Any]:
        """Our own style sheets that its head asks for, taken out of it so that they are not read
        once more. Anything else it asks for stays there for the fetcher to refuse."""
        found = []
        head = source.etree_element.find("head")
        for link in [] if head is None else head.findall("link"):
            if link.get("rel") == "stylesheet" and not link.get("media"):
                try:
                    found.append(self._style(urljoin(source.base_url, link.get("href", ""))))
                except AddressNotOurs:
                    continue
                head.remove(link)
        return found

    def _style(self, address: str) -> Any:
        changed = static_file(address, self.static_url, self.roots).stat().st_mtime_ns
        if (address, changed) not in self.styles:
            self.styles[address, changed] = self.weasyprint.CSS(
                url=address, url_fetcher=self.fetcher, font_config=self.fonts
            )
        return self.styles[address, changed]


def well_formed(html: str) -> ElementTree.Element | None:
    """The document's tree when it is XML too, as our own sheets are; else None.

    The library reads HTML letter by letter in Python, which took a seventh of a layout. What is not
    plainly XML (a sign that XML does not know, a declaration of its own) is left to that reader.
    """
    if not html.startswith(DOCTYPE) or "<!" in html.removeprefix(DOCTYPE) or "<?" in html:
        return None
    try:
        root = ElementTree.fromstring(html.removeprefix(DOCTYPE))
    except ElementTree.ParseError:
        return None
    for drawing in list(root.iter("svg")):
        for part in drawing.iter():
            if isinstance(part.tag, str):
                part.tag = f"{SVG}{part.tag}"
    return root


class AddressNotOurs(ValueError):
    """An address that a sheet has no business with."""


def static_file(address: str, static_url: str, roots: list[Path]) -> Path:
    """The file behind one of our static addresses; raises AddressNotOurs for anything else."""
    path = unquote(urlsplit(address).path)
    if not address.startswith(DOCUMENT_ADDRESS) or not path.startswith(static_url):
        raise AddressNotOurs(address[:80])
    for root in roots:
        file = (root / path.removeprefix(static_url)).resolve()
        if file.is_file() and file.is_relative_to(root):
            return file
    raise AddressNotOurs(address[:80])


def make_fetcher(static_url: str, roots: list[Path]) -> Any:
    import mimetypes

    from weasyprint.urls import URLFetcher, URLFetcherResponse

    class OwnFilesOnly(URLFetcher):  # type: ignore[misc]  # the library publishes no types
        def fetch(self, url: str, headers: Any = None) -> Any:
            if url.startswith("data:"):
                return super().fetch(url, headers)
            file = static_file(url, static_url, roots)
            kind = mimetypes.guess_type(file.name)[0] or "application/octet-stream"
            return URLFetcherResponse(url, file.read_bytes(), {"Content-Type": kind})

    return OwnFilesOnly(allowed_protocols=["data"], allow_redirects=False)


if __name__ == "__main__":
    main()
