"""Walks every page that a person can come to by links, and gives each as the words on it."""

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from html import unescape

from django.test import Client
from django.urls import resolve

from horses.models import Person

HREF = re.compile(r'href="(/[^"#]*)')
NOT_WORDS = re.compile(r"<(script|style|textarea)\b.*?</\1>", re.DOTALL)
# Attributes that are read out or stand on the screen are words as well.
SAID = re.compile(r'\b(?:aria-label|placeholder|alt|title)="([^"]*)"')
NO_PAGE = ("/static/", "/accounts/logout", "/mailbox/")


@dataclass(frozen=True)
class Seen:
    kind: str  # the name of its view
    address: str
    words: str


def pages_of(person: Person, most: int) -> Iterator[Seen]:
    """The pages from the list of horses on; of each kind at most so many. The many ways to filter and sort one page are not walked."""
    client = Client()
    client.force_login(person)
    known: set[str] = set()
    kinds: Counter[str] = Counter()
    waiting = ["/"]
    while waiting:
        address = waiting.pop(0)
        response = client.get(address, follow=True)
        assert response.status_code == 200, (address, response.status_code)
        if not response["Content-Type"].startswith("text/html"):
            continue
        html = response.content.decode()
        yield Seen(resolve(address.split("?")[0]).url_name or "", address, words_of(html))
        for link in HREF.findall(html):
            link = unescape(link)
            path = link.split("?")[0]
            if path in known or path.startswith(NO_PAGE) or path.endswith(".pdf"):
                continue
            known.add(path)
            kind = resolve(path).url_name or path
            kinds[kind] += 1
            if kinds[kind] <= most:
                waiting.append(link)


def words_of(html: str) -> str:
    shown = NOT_WORDS.sub(" ", html)
    said = " ".join(SAID.findall(shown))
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", shown) + " " + said).split())
