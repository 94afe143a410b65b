"""How one entry is written: the form is opened, filled in and sent as a thumb does, whatever the line."""

import re
from contextlib import suppress

from playwright.sync_api import Error, Locator, TimeoutError

from tests.chaos.morning.entries import Entry
from tests.chaos.morning.phone import Phone
from tests.chaos.morning.picture import jpeg

GIVE_UP_S = 40  # longer than the phone waits for any answer
# Waited for by Playwright's own means: a script that is asked of a page that stands still never answers.
ANSWERS = "[data-draft-panel], [data-waits=yes], html[data-answered], html:not([data-before])"
# "": not yet; "panel": written down in the phone; "page": the board's own page, with its status.
SEEN = """() => document.querySelector("[data-draft-panel], [data-waits=yes]") ? "kept"
  : document.documentElement.dataset.answered ? `page ${document.documentElement.dataset.answered}`
  : document.documentElement.dataset.before ? "" : "gone on" """
WORDS = "document.title + ': ' + (document.querySelector('main') ?? document.documentElement).innerText.slice(0, 200)"
PATHS = {
    "note": "notes/new/",
    "flag": "flags/new/",
    "urgent": "flags/new/",
    "visit": "visits/new/",
    "reading": "readings/new/",
    "word": "was-here/",
}


class NotOpen(Exception):
    """The page for it is not in this phone."""


def write(phone: Phone, entry: Entry) -> None:
    """Sets `entry.shown`. Raises NotOpen."""
    phone.go(_path(entry))
    page = phone.page
    try:
        button = _filled(phone, entry)
    except TimeoutError:
        phone.another_page()
        raise NotOpen("the page stands still") from None
    try:
        page.evaluate("document.documentElement.dataset.before = 'yes'")
        button.click(no_wait_after=True)
        page.locator(ANSWERS).first.wait_for(state="attached", timeout=GIVE_UP_S * 1000)
    except TimeoutError:
        phone.another_page()  # what became of the entry is counted in the end
        return
    with suppress(Error):  # between two pages: it has gone on
        entry.shown = page.evaluate(SEEN)
        if entry.shown.startswith("page"):
            entry.shown += ": " + str(page.evaluate(WORDS))


def _path(entry: Entry) -> str:
    if entry.kind == "look":
        return "/look/"
    home = f"/cases/{entry.case}/"
    return home + (
        f"plan/{entry.item}/" if entry.kind in ("agree", "decline") else PATHS[entry.kind]
    )


def _filled(phone: Phone, entry: Entry) -> Locator:
    """The form with the entry in it; the button that sends it."""
    page = phone.page
    main = page.locator("main")
    match entry.kind:
        case "note":
            _open(main.locator("[name=body]")).fill(entry.word)
            return main.get_by_role("button", name="Save the note")
        case "flag" | "urgent":
            _open(main.locator("[name=words]")).fill(entry.word)
            name, sign = (
                ("urgent_signs", "in_sole") if entry.kind == "urgent" else ("signs", "heat")
            )
            main.locator(f"[name={name}][value={sign}]").check()
            if entry.picture:
                file = {"name": "foot.jpg", "mimeType": "image/jpeg", "buffer": jpeg(entry.word)}
                main.locator("[name=photos]").set_input_files(file)  # type: ignore[arg-type]
            return main.get_by_role("button", name="Write it down and tell the team")
        case "look":
            return _open(main.locator(f"button[name=one][value='{entry.case}']"))
        case "agree":
            return _open(main.get_by_role("button", name=re.compile("^Agree, for the ")))
        case "decline":
            _open(main.locator("summary", has_text="Ask for a change")).click()
            main.locator("[name=decision][value=decline]").check()
            main.locator("[name=reason]").fill(entry.word)
            return main.get_by_role("button", name="Save my answer")
        case "word":
            _open(main.locator("summary", has_text="Something was different")).click()
            main.locator("[name=words]").fill(entry.word)
            return main.get_by_role("button", name="Write it down")
        case "visit":
            _open(main.locator("[name=words]"), seen=False)
            main.locator("[name=LF-toe_angle-after]").fill(entry.value)
            main.locator("textarea[name=words], input[name=words]").first.fill(entry.word)
            for pair in ("fronts", "hinds"):
                main.locator(f"[name=as_last][value={pair}-bare]").click()
            return main.get_by_role("button", name="Save the visit")
        case "reading":
            _open(main.locator("[name=taken_on]"))
            main.locator(f"[name={entry.item}-toe_angle]").fill(entry.value)
            main.locator("[name=trim_state][value=after]").check()
            return main.get_by_role("button", name="Save the measurements")
        case other:
            raise ValueError(other)


def _open(spot: Locator, *, seen: bool = True) -> Locator:
    """The first of its fields, if the page came with it."""
    try:
        spot.first.wait_for(state="visible" if seen else "attached", timeout=4000)
    except Error:
        raise NotOpen(f"{spot.page.url}: {spot.page.evaluate(WORDS)}") from None
    return spot.first
