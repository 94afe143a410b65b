"""Each form is kept in the phone under a name of its own: what is kept under a name is replaced by what is
typed, or sent, under it later."""

import re
from collections import defaultdict

import pytest
from django.urls import resolve

from tests.access.fields import FORMS
from tests.access.people import People
from tests.access.table import CASE_ROWS, IN, address
from tests.stage import Stage

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("not_laid_out")]
WITH_BUTTONS = ("board", "flag", "visits")
FORM = re.compile(r"<form\b[^>]*>")
NAME = re.compile(r'data-(?:keep|draft)="([^"]+)"')
ACTION = re.compile(r'action="([^"]*)"')


def test_no_two_forms_are_kept_under_one_name(stage: Stage, people: People) -> None:
    found = defaultdict[str, set[str]](set)
    for name in (*FORMS, *WITH_BUTTONS):
        for who in ("owner", "vet", "farrier"):
            if CASE_ROWS[name].expected("GET", who) != IN:
                continue
            path = address(name, stage, who)
            html = people.client(who).get(path).content.decode()
            for form in FORM.findall(html):
                if kept := NAME.search(form):
                    to = ACTION.search(form)
                    where = (to.group(1) if to else "") or path
                    found[kept.group(1)].add(resolve(where.split("?")[0]).view_name)
    assert len(found) > 20
    assert {kept: of for kept, of in found.items() if len(of) > 1} == {}
