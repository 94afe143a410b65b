from pathlib import Path
from typing import Any

import pytest
from django.db import connection

from caseboard import checks


def ids(messages: Any) -> list[str]:
    return [message.id for message in messages]


def test_production_that_writes_its_mail_to_files_is_an_error(settings: Any) -> None:
    settings.PRODUCTION = True
    settings.EMAIL_BACKEND = "caseboard.lib.mailbox.MailboxBackend"
    assert ids(checks.check_mail()) == ["caseboard.E001"]


def test_production_with_a_mail_server_is_well(settings: Any) -> None:
    settings.PRODUCTION = True
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    assert ids(checks.check_mail()) == []


def test_mail_to_files_is_well_while_developing(settings: Any) -> None:
    settings.PRODUCTION = False
    settings.EMAIL_BACKEND = "caseboard.lib.mailbox.MailboxBackend"
    assert ids(checks.check_mail()) == []


@pytest.mark.parametrize(
    ("address", "found"),
    [("http://board.example.org", ["caseboard.E002"]), ("https://board.example.org", [])],
)
def test_production_needs_an_https_address(settings: Any, address: str, found: list[str]) -> None:
    settings.PRODUCTION = True
    settings.SITE_URL = address
    assert ids(checks.check_address()) == found


@pytest.mark.parametrize(
    ("address", "proxies", "found"),
    [
        ("https://board.example.org", 0, ["caseboard.W003"]),
        ("https://board.example.org", 1, []),
        ("http://127.0.0.1:8000", 0, []),
    ],
)
def test_https_without_a_proxy_of_ours_is_pointed_out(
    settings: Any, address: str, proxies: int, found: list[str]
) -> None:
    settings.SITE_URL = address
    settings.TRUSTED_PROXIES = proxies
    assert ids(checks.check_proxies()) == found


@pytest.mark.django_db
class TestCacheTable:
    @pytest.fixture(autouse=True)
    def _no_redis(self, settings: Any) -> None:
        settings.REDIS_URL = ""

    def test_a_table_that_is_there_is_well(self) -> None:
        assert ids(checks.check_cache_table(databases=["default"])) == []

    def test_a_missing_table_is_pointed_out(self) -> None:
        with connection.cursor() as cursor:
            cursor.execute(f"DROP TABLE {checks.CACHE_TABLE}")
        assert ids(checks.check_cache_table(databases=["default"])) == ["caseboard.W004"]

    def test_with_redis_no_table_is_needed(self, settings: Any) -> None:
        settings.REDIS_URL = "redis://127.0.0.1:6379/0"
        with connection.cursor() as cursor:
            cursor.execute(f"DROP TABLE {checks.CACHE_TABLE}")
        assert ids(checks.check_cache_table(databases=["default"])) == []


def test_without_a_database_asked_for_none_is_opened() -> None:
    assert ids(checks.check_cache_table(databases=None)) == []


def test_a_missing_pango_is_pointed_out_with_what_to_install(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(checks, "pango_missing", lambda: "apt-get install libpango-1.0-0")
    (message,) = checks.check_pango()
    assert message.id == "caseboard.W005"
    assert message.hint == "apt-get install libpango-1.0-0"


def test_the_table_checked_is_the_one_the_cache_uses(settings: Any) -> None:
    if settings.REDIS_URL:
        pytest.skip("this run keeps its counters in Redis")
    assert settings.CACHES["default"]["LOCATION"] == checks.CACHE_TABLE


@pytest.fixture
def production(settings: Any, tmp_path: Path) -> Any:
    settings.PRODUCTION = True
    settings.SITE_URL = "https://board.example.org"
    settings.ALLOWED_HOSTS = ["board.example.org"]
    settings.DEFAULT_FROM_EMAIL = "Hoof case board <board@example.org>"
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_USE_TLS = "mail.example.org", True
    settings.STATIC_ROOT = tmp_path
    return settings


@pytest.mark.parametrize(
    ("hosts", "found"),
    [
        (["board.example.org"], []),
        ([".example.org"], []),
        (["*"], []),
        (["other.example.org"], ["caseboard.E006"]),
    ],
)
def test_the_host_of_the_address_must_be_allowed(
    production: Any, hosts: list[str], found: list[str]
) -> None:
    production.ALLOWED_HOSTS = hosts
    assert ids(checks.check_hosts()) == found


@pytest.mark.parametrize(
    ("sender", "found"),
    [
        ("Board <board@example.org>", []),
        ("board@example.org", []),
        ("Board <board@localhost>", ["caseboard.E007"]),
        ("board", ["caseboard.E007"]),
    ],
)
def test_a_sender_that_mail_servers_refuse_is_an_error(
    production: Any, sender: str, found: list[str]
) -> None:
    production.DEFAULT_FROM_EMAIL = sender
    assert ids(checks.check_sender()) == found


@pytest.mark.parametrize(
    ("host", "tls", "found"),
    [
        ("mail.example.org", True, []),
        ("127.0.0.1", False, []),
        ("mail.example.org", False, ["caseboard.W008"]),
    ],
)
def test_mail_that_travels_unprotected_is_pointed_out(
    production: Any, host: str, tls: bool, found: list[str]
) -> None:
    production.EMAIL_HOST, production.EMAIL_USE_TLS = host, tls
    assert ids(checks.check_mail_protected()) == found


def test_static_files_that_were_not_collected_are_an_error(production: Any, tmp_path: Path) -> None:
    assert ids(checks.check_static_files()) == ["caseboard.E009"]
    (tmp_path / "staticfiles.json").write_text("{}")
    assert ids(checks.check_static_files()) == []
