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
    ],
)
def test_a_bad_setting_is_refused_by_its_name(name: str, value: str) -> None:
    with pytest.raises(ValidationError) as refused:
        Settings.from_environment({name: value})
    assert refused.value.errors()[0]["loc"] == (name.removeprefix("PARTLINE_").lower(),)
