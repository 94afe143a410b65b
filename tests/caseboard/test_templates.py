"""Every template read as text: short lines, and nothing decided that a view model should decide."""

import re
from pathlib import Path

import pytest
from django.conf import settings

from horses.access import POLICY
from horses.domain.signs import SIGN

ROOT = Path(settings.BASE_DIR) / "templates"
TEMPLATES = sorted(str(path.relative_to(ROOT)) for path in ROOT.rglob("*.*"))
LONGEST = 160
# What the rules call themselves, and the verbs of the history that they look for.
DOTTED = {
    name
    for path in Path(settings.BASE_DIR).glob("*/rules/*.py")
    for name in re.findall(r'"([a-z]+\.[a-z_]+)"', path.read_text())
}
TAG = re.compile(r"\{%.*?%\}|\{\{.*?\}\}")
LITERAL = r"""(?:"[^"]*"|'[^']*'|(?<![\w.])-?\d+(?![\w.]))"""
COMPARES = r"(?:==|!=|<=|>=|<|>|\bnot in\b|\bin\b)"
COMPARISON = re.compile(rf"{COMPARES}\s*{LITERAL}|{LITERAL}\s*{COMPARES}")
QUOTED = re.compile(r"""["']([^"']*)["']""")
RIGHT = re.compile(r"\bcan\.(\w+)\.(\w+)")


def tags_of(template: str) -> list[str]:
    return TAG.findall((ROOT / template).read_text())


def comparisons_in(tags: list[str]) -> list[str]:
    return [tag for tag in tags if re.match(r"\{% *(?:if|elif)\b", tag) and COMPARISON.search(tag)]


@pytest.mark.parametrize("template", TEMPLATES)
def test_no_line_is_longer_than_a_screen(template: str) -> None:
    lines = (ROOT / template).read_text().splitlines()
    assert [i for i, line in enumerate(lines, 1) if len(line) > LONGEST] == []


@pytest.mark.parametrize("template", TEMPLATES)
def test_nothing_is_compared_with_a_text_or_a_number(template: str) -> None:
    assert comparisons_in(tags_of(template)) == []


@pytest.mark.parametrize(
    "tag",
    [
        '{% if flag.urgency == "now" %}',
        "{% elif days != 7 %}",
        '{% if "plan.agree" in can %}',
        "{% if a and b|length > 1 %}",
        "{% if 4 <= n %}",
        "{% if kind in 'ab' %}",
    ],
)
def test_each_kind_of_comparison_is_found(tag: str) -> None:
    assert comparisons_in([tag]) == [tag]


@pytest.mark.parametrize("tag", ["{% if a == b %}", "{% if x.0.y %}", '{% if a|date:"j" %}'])
def test_what_compares_with_no_literal_is_left_alone(tag: str) -> None:
    assert comparisons_in([tag]) == []


def test_the_rules_were_found() -> None:
    assert {"visit.stand_in", "young.window", "band.outside"} <= DOTTED


@pytest.mark.parametrize("template", TEMPLATES)
def test_no_rule_sign_or_right_is_named_in_quotes(template: str) -> None:
    """Names of pages are not meant: one of them is spelled like a sign."""
    known = {*SIGN, *POLICY, *DOTTED}
    tags = [tag for tag in tags_of(template) if not tag.startswith("{% url")]
    assert {word for tag in tags for word in QUOTED.findall(tag)} & known == set()


def test_every_right_that_a_template_asks_for_exists() -> None:
    asked = {
        ".".join(found)
        for template in TEMPLATES
        for tag in tags_of(template)
        for found in RIGHT.findall(tag)
    }
    assert asked
    assert asked - set(POLICY) == set()


@pytest.mark.parametrize("template", TEMPLATES)
def test_a_number_to_ring_is_written_as_a_phone_can_ring_it(template: str) -> None:
    links = re.findall(r"tel:\{\{.*?\}\}", (ROOT / template).read_text())
    assert [link for link in links if "|dialled" not in link] == []
