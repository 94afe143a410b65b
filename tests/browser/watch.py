"""Listens to what a browser complains about while pages are visited."""

import re
from dataclasses import dataclass, field

from playwright.sync_api import BrowserContext, ConsoleMessage, Error, WebError

# Says a breach of the content security policy aloud, so that it can be heard outside the page.
TELL_BREACHES = """
document.addEventListener("securitypolicyviolation", (event) => console.error(
  `policy breach: ${event.violatedDirective} ${event.blockedURI} at ${event.sourceFile}:${event.lineNumber}`));
"""
# The browser logs an answer that is an error page as a failed load. Those that the site gives on
# purpose (signed out, forbidden, not found, conflict, not accepted, too many, not saved) are no complaint; a 500 is one.
ON_PURPOSE = re.compile(r"Failed to load resource.* status of (401|403|404|409|422|429|503) ")

# Without a connection, what our own worker then answers in the site's place, and a dead server's proxy.
LOST = re.compile(r"net::ERR_|status of 50[23] ")


@dataclass
class Watch:
    """The complaints of one browser context, with the address where each was made."""

    complaints: list[str] = field(default_factory=list)
    lost_on_purpose: bool = False  # while a test cuts the connection itself

    def over(self, context: BrowserContext) -> "Watch":
        context.add_init_script(TELL_BREACHES)
        context.on("console", self._heard)
        context.on("weberror", self._broke)
        return self

    def _heard(self, message: ConsoleMessage) -> None:
        if message.type not in ("error", "warning"):
            return
        address = str(message.location.get("url", ""))
        if ON_PURPOSE.search(message.text) and "/static/" not in address:
            return
        if self.lost_on_purpose and LOST.search(message.text):
            return
        self.complaints.append(f"{message.type} at {address}: {message.text}")

    def _broke(self, error: WebError) -> None:
        broken: Error = error.error
        self.complaints.append(f"script broke: {broken.message}")
