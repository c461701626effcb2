"""What the service is told from outside."""

from __future__ import annotations

import pytest
from pydantic import ValidationError

from api.settings import Settings


def test_the_environment_is_read_by_its_prefix() -> None:
    told = {"PARTLINE_DATABASE": "postgresql://a@b/c", "PARTLINE_PORT": "9000", "HOME": "/x"}
    settings = Settings.from_environment(told)
    assert settings.database_url == "postgresql+asyncpg://a@b/c"
    assert settings.port == 9000


def test_without_a_word_it_keeps_an_embedded_file() -> None:
    assert Settings.from_environment({}).database_url == "sqlite+aiosqlite:///partline.db"


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("PARTLINE_DATABASE", "mysql://a/b"),
        ("PARTLINE_PORT", "seventy"),
        ("PARTLINE_PORT", "70000"),
        ("PARTLINE_SALON", "Not A Name"),
        ("PARTLINE_SOLVES", "0"),
        ("PARTLINE_TOKENS", "maybe"),
    ],
)
def test_a_bad_setting_is_refused_by_its_name(name: str, value: str) -> None:
    with pytest.raises(ValidationError) as refused:
        Settings.from_environment({name: value})
    assert refused.value.errors()[0]["loc"] == (name.removeprefix("PARTLINE_").lower(),)


def test_tokens_are_asked_for_unless_told_otherwise() -> None:
    assert Settings.from_environment({}).tokens == "required"


@pytest.mark.parametrize("host", ["::", "192.0.2.7", "studio.example"])
def test_whoever_can_be_reached_asks_for_tokens(host: str) -> None:
    assert Settings(host=host).tokens == "required"
    with pytest.raises(ValidationError, match="can be reached"):
        Settings(host=host, tokens="off")


@pytest.mark.parametrize("host", ["127.0.0.1", "::1", "localhost"])
def test_on_this_machine_alone_tokens_may_be_off(host: str) -> None:
    assert Settings(host=host, tokens="off").tokens == "off"
