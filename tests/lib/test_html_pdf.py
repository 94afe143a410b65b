import base64
import io
import os
import signal
import socket
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import urljoin

import pypdf
import pytest
from PIL import Image

from caseboard.lib.pdf import parent
from caseboard.lib.pdf.child import DOCUMENT_ADDRESS, AddressNotOurs, static_file, well_formed
from caseboard.lib.pdf.parent import PdfFailed, PdfUnavailable, html_to_pdf, pango_missing

pytestmark = pytest.mark.skipif(bool(pango_missing()), reason=pango_missing())

PAGE = '<!doctype html><html lang="en"><head><title>Plan sheet</title>{head}</head><body>{body}</body></html>'
LITTLE_MORE_THAN_IDLE_MB = 320  # idle it has about 285 MB of address space
# One red pixel (a PNG written for this test).
PIXEL = (
    "data:image/png;base64,iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAIAAACQd1PeAAAADElEQVR4nGP4z8AAAAMBAQDJ/pLvAAAA"
    "AElFTkSuQmCC"
)


def read(body: str, head: str = "", paper: parent.Paper = "a4") -> pypdf.PdfReader:
    return pypdf.PdfReader(io.BytesIO(html_to_pdf(PAGE.format(head=head, body=body), paper=paper)))


def size_mm(reader: pypdf.PdfReader) -> tuple[int, int]:
    box = reader.pages[0].mediabox
    return round(float(box.width) * 25.4 / 72), round(float(box.height) * 25.4 / 72)


def images(reader: pypdf.PdfReader) -> int:
    return sum(len(page.images) for page in reader.pages)


@pytest.fixture
def static(settings: object, tmp_path: Path) -> Iterator[Path]:
    """A folder of static files of this test's own, and a child that knows it."""
    folder = tmp_path / "static"
    folder.mkdir()
    settings.STATICFILES_DIRS = [folder]  # type: ignore[attr-defined]
    parent.pdf_child_stop()
    yield folder
    parent.pdf_child_stop()


def test_text_comes_out_as_text() -> None:
    assert "left fore 52°" in read("<p>left fore 52°</p>").pages[0].extract_text()


@pytest.mark.parametrize(("paper", "size"), [("a4", (210, 297)), ("letter", (216, 279))])
def test_the_paper_is_the_one_asked_for(paper: parent.Paper, size: tuple[int, int]) -> None:
    assert size_mm(read("x", paper=paper)) == size


def test_a_document_that_sets_its_own_page_size_keeps_it() -> None:
    assert size_mm(read("x", head="<style>@page { size: A5 }</style>")) == (148, 210)


def test_the_document_is_tagged_and_says_its_title_and_language() -> None:
    reader = read("<h1>Plan</h1>")
    root: Any = reader.trailer["/Root"]
    assert root["/MarkInfo"]["/Marked"]
    assert root["/Lang"] == "en"
    assert reader.metadata is not None
    assert reader.metadata.title == "Plan sheet"


def test_fonts_are_inside_the_document() -> None:
    resources: Any = read("<p>hoof</p>").pages[0]["/Resources"]
    fonts = resources["/Font"]
    descriptor = next(iter(fonts.values()))["/DescendantFonts"][0]["/FontDescriptor"]
    assert "/FontFile2" in descriptor or "/FontFile3" in descriptor


def test_the_same_html_gives_the_same_bytes_from_a_warm_and_a_fresh_child() -> None:
    html = PAGE.format(head="", body=f'<p>hoof</p><img alt="" src="{PIXEL}">')
    first = html_to_pdf(html, paper="a4")
    warm = html_to_pdf(html, paper="a4")
    parent.pdf_child_stop()
    assert first == warm == html_to_pdf(html, paper="a4")


def test_a_picture_inside_the_document_is_drawn() -> None:
    assert images(read(f'<img alt="" src="{PIXEL}">')) == 1


def test_our_own_style_sheet_is_used(static: Path) -> None:
    (static / "print.css").write_text("@page { size: A5 } ")
    assert size_mm(read("x", head='<link rel="stylesheet" href="/static/print.css">')) == (148, 210)


def test_our_own_picture_is_drawn(static: Path) -> None:
    (static / "dot.png").write_bytes(base64.b64decode(PIXEL.split(",")[1]))
    assert images(read('<img alt="" src="/static/dot.png">')) == 1


@pytest.mark.parametrize(
    "address",
    [
        "/etc/passwd",
        "file:///etc/passwd",
        "/static/../secret.css",
        "/static/%2e%2e/secret.css",
        "/static//etc/passwd",
        "/static/link.css",
        "/static/",
        "//example.org/static/x.css",
        "https://sheet.invalid.example.org/static/x.css",
        "static/../../secret.css",
    ],
)
def test_no_other_file_is_named(tmp_path: Path, address: str) -> None:
    root = tmp_path / "static"
    root.mkdir()
    (tmp_path / "secret.css").write_text("secret")
    (root / "link.css").symlink_to(tmp_path / "secret.css")
    with pytest.raises(AddressNotOurs):
        static_file(urljoin(DOCUMENT_ADDRESS, address), "/static/", [root.resolve()])


@pytest.mark.parametrize(
    "body",
    [
        '<img alt="" src="{url}">',
        '<object data="{url}"></object>',
        '<svg xmlns="http://www.w3.org/2000/svg"><image href="{url}" width="9" height="9"/></svg>',
        '<div style="background: url({url})">x</div>',
        "<style>@import url({url});</style>",
        "<style>@font-face {{ font-family: f; src: url({url}) }} p {{ font-family: f }}</style><p>x</p>",
        '<link rel="stylesheet" href="{url}">',
        '<link rel="attachment" href="{url}">',
        '<a rel="attachment" href="{url}">x</a>',
        '<base href="{url}"><img alt="" src="x.png">',
    ],
)
def test_no_document_makes_the_child_call_out(body: str) -> None:
    with socket.create_server(("127.0.0.1", 0)) as door:
        door.settimeout(0.2)
        url = f"http://127.0.0.1:{door.getsockname()[1]}/x.png"
        read(body.format(url=url))
        with pytest.raises(TimeoutError):
            door.accept()


def test_a_file_of_the_machine_is_not_attached(tmp_path: Path) -> None:
    (tmp_path / "secret.txt").write_text("the canary")
    reader = read(
        f'<link rel="attachment" href="file://{tmp_path}/secret.txt"><a rel="attachment" href="file://{tmp_path}/secret.txt">x</a>'
    )
    assert not reader.attachments


def children_cpu_s() -> float:
    """The processor time of all children that have ended."""
    spent = os.times()
    return spent.children_user + spent.children_system


def test_a_document_that_takes_too_long_is_given_up_and_the_next_one_works(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Measured in the child's own processor time, beside that of a child that drew almost nothing;
    the clock, which would end it as well, is far away."""
    monkeypatch.setattr(parent, "CLOCK_TIMES", 120)
    parent.pdf_child_stop()
    began_s = children_cpu_s()
    read("almost nothing")
    parent.pdf_child_stop()
    idle_s = children_cpu_s() - began_s
    with pytest.raises(PdfFailed, match="too long"):
        html_to_pdf(PAGE.format(head="", body="<p>x</p>" * 60_000), paper="a4", time_limit_s=1)
    parent.pdf_child_stop()
    assert children_cpu_s() - began_s - 2 * idle_s < 2
    assert len(read("still here").pages) == 1


def test_a_picture_that_would_fill_the_memory_is_refused_it_and_the_next_document_works(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A file of 140 kB that unpacks to 144 MB; with room enough it would be drawn."""
    packed = io.BytesIO()
    Image.new("RGBA", (6000, 6000)).save(packed, "PNG")
    address = f"data:image/png;base64,{base64.b64encode(packed.getvalue()).decode()}"
    monkeypatch.setattr(parent, "MEMORY_LIMIT_MB", LITTLE_MORE_THAN_IDLE_MB)
    parent.pdf_child_stop()
    try:
        drawn = images(read(f'<img alt="" src="{address}" width="9">'))
    except PdfFailed:
        drawn = 0
    assert drawn == 0
    assert len(read("still here").pages) == 1
    parent.pdf_child_stop()
    monkeypatch.undo()
    assert images(read(f'<img alt="" src="{address}" width="9">')) == 1


def test_a_killed_child_is_replaced() -> None:
    read("first")
    child = parent._current
    assert child is not None
    child._process.kill()
    child._process.wait()
    assert len(read("second").pages) == 1


def test_a_child_is_replaced_after_so_many_sheets(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(parent, "SHEETS_A_CHILD", 1)
    read("first")
    first = parent._current
    read("second")
    assert parent._current is not first


def test_two_threads_each_get_their_own_document() -> None:
    texts: dict[str, str] = {}

    def make(name: str) -> None:
        texts[name] = read(f"<p>{name}</p>").pages[0].extract_text()

    threads = [threading.Thread(target=make, args=(name,)) for name in ("one", "two", "three")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert {name: text.strip() for name, text in texts.items()} == {
        n: n for n in ("one", "two", "three")
    }


def test_the_child_is_given_no_secrets(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("SECRET_KEY", "the canary")
    monkeypatch.setenv("DATABASE_URL", "the canary")
    assert "the canary" not in str(parent._child_environment())


def test_a_missing_library_is_named_with_the_way_to_install_it() -> None:
    with pytest.raises(PdfUnavailable) as caught:
        parent._done({"state": "unavailable"})
    for words in ("libpango-1.0-0", "brew install pango", "MSYS2"):
        assert words in str(caught.value)


def test_a_library_that_is_not_there_is_noticed(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(parent, "NEEDED_LIBRARIES", (("libno-such-thing.so.9",),))
    assert "apt-get install" in pango_missing()


def test_the_reason_of_a_failure_does_not_quote_the_document() -> None:
    with pytest.raises(PdfFailed) as caught:
        parent._done({"state": "failed", "why": "ValueError"})
    assert str(caught.value) == "The PDF could not be made (ValueError)."


def test_a_busy_machine_makes_a_sheet_late_and_not_impossible() -> None:
    """The limit is processor time: a child that is kept from running has not used it up."""
    html_to_pdf(PAGE.format(head="", body="<p>warm</p>"), paper="a4")
    child = parent._child()
    child._process.send_signal(signal.SIGSTOP)
    again = threading.Timer(2.5, child._process.send_signal, [signal.SIGCONT])
    again.start()
    pdf = html_to_pdf(PAGE.format(head="", body="<p>late</p>"), paper="a4", time_limit_s=1.5)
    again.join()
    assert pdf.startswith(b"%PDF")


def test_a_child_that_hangs_is_given_up_by_the_clock(monkeypatch: pytest.MonkeyPatch) -> None:
    html_to_pdf(PAGE.format(head="", body="<p>warm</p>"), paper="a4")
    child = parent._child()
    child._process.send_signal(signal.SIGSTOP)
    with pytest.raises(PdfFailed):
        html_to_pdf(PAGE.format(head="", body="<p>never</p>"), paper="a4", time_limit_s=0.3)
    assert not child.usable


PAGES_BY_XML = {
    "text": "<p>left fore &lt;b&gt; 52°</p>",
    "a drawing": '<svg viewBox="0 0 9 9" width="90" height="90"><g><path d="M0 0h9v9z"/></g></svg>',
    "a table": "<table><tbody><tr><td>one<br/>two</td></tr></tbody></table>",
}


@pytest.mark.parametrize("body", PAGES_BY_XML.values(), ids=list(PAGES_BY_XML))
def test_a_page_that_is_xml_too_gives_the_pdf_that_the_html_reader_gives(body: str) -> None:
    document = PAGE.format(head="", body=body)
    assert well_formed(document) is not None
    by_html = document.replace("<!doctype html>", "<!DOCTYPE html>")  # not read as XML
    assert well_formed(by_html) is None
    assert html_to_pdf(document, paper="a4") == html_to_pdf(by_html, paper="a4")


@pytest.mark.parametrize(
    "body",
    [
        "<p>one<br>two</p>",
        "<p>one&nbsp;two</p>",
        "<p>\x0b</p>",
        "<!-- --><p></p>",
        "<?x y?><p></p>",
    ],
)
def test_what_is_not_plainly_xml_is_left_to_the_html_reader(body: str) -> None:
    assert well_formed(PAGE.format(head="", body=body)) is None
    assert html_to_pdf(PAGE.format(head="", body=body), paper="a4").startswith(b"%PDF")


def test_a_document_cannot_declare_signs_of_its_own() -> None:
    bomb = '<!doctype html><!DOCTYPE html [<!ENTITY x "xxxx">]><html><body>&x;</body></html>'
    assert well_formed(bomb) is None
