"""Every setting stands in .env.example with a line of its own, and nothing else does."""

import re
from pathlib import Path

import yaml

ROOT = Path(__file__).resolve().parent.parent.parent
# Read by other programs: compose's database, and what speaks to S3-compatible storage.
OF_OTHERS = {"POSTGRES_PASSWORD", "AWS_ACCESS_KEY_ID", "AWS_SECRET_ACCESS_KEY"}


def settings_read() -> set[str]:
    text = "".join(part.read_text() for part in (ROOT / "caseboard").glob("settings*.py"))
    found = re.findall(r'env(?:iron)?\.\w+\(\s*"([A-Z][A-Z0-9_]+)"', text)
    return set(found) - {"CASEBOARD_ENV_FILE"}  # set by the doors, not by people


def settings_shown() -> list[str]:
    text = (ROOT / ".env.example").read_text()
    return re.findall(r"^#?([A-Z][A-Z0-9_]+)=", text, flags=re.MULTILINE)


def test_the_settings_are_found_in_the_code() -> None:
    assert {
        "SECRET_KEY",
        "LIMIT_WRITES",
        "TRUSTED_PROXIES",
        "SIGN_UP",
        "CELERY_BROKER_URL",
    } <= settings_read()


def test_each_setting_has_its_line() -> None:
    assert set(settings_shown()) - OF_OTHERS == settings_read()


def test_none_stands_there_twice() -> None:
    assert len(settings_shown()) == len(set(settings_shown()))


def test_each_line_follows_words_about_it() -> None:
    lines = (ROOT / ".env.example").read_text().splitlines()
    for number, line in enumerate(lines):
        if re.match(r"#?[A-Z][A-Z0-9_]+=", line):
            above = [
                text for text in reversed(lines[:number]) if not re.match(r"#?[A-Z0-9_]+=", text)
            ]
            assert above[0].startswith("# "), line


def test_compose_passes_on_what_its_processes_read() -> None:
    compose = yaml.safe_load((ROOT / "compose.yaml").read_text())
    passed = set(compose["x-board"]["environment"])
    not_there = {
        "CASEBOARD_STATE_DIR",
        "MEDIA_ROOT",
        "STATIC_ROOT",
        "CASEBOARD_DEBUG",
        "CASEBOARD_DEMO",
    }
    assert settings_read() - passed - not_there == set()
