"""The demo's database file. Source of the mark: sqlite.org/fileformat.html, application id."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from api.cli.refusal import RefusalError
from api.demo.folder import FILE, fresh_file


def test_a_folder_that_is_not_there_is_made(tmp_path: Path) -> None:
    file, replaced = fresh_file(str(tmp_path / "a" / "b"))
    assert file.is_file()
    assert not replaced


def test_an_older_demo_is_replaced_with_its_companions(tmp_path: Path) -> None:
    file, _ = fresh_file(str(tmp_path))
    with closing(sqlite3.connect(file)) as connection:
        connection.execute("PRAGMA journal_mode = WAL")
        connection.execute("CREATE TABLE old (x)")
        connection.commit()
    (tmp_path / f"{FILE}-journal").touch()
    again, replaced = fresh_file(str(tmp_path))
    assert replaced
    with closing(sqlite3.connect(again)) as connection:
        assert connection.execute("SELECT count(*) FROM sqlite_master").fetchone() == (0,)
    assert [path.name for path in tmp_path.iterdir()] == [FILE]


@pytest.mark.parametrize("content", [b"", b"my notes", b"SQLite format 3\x00" + bytes(200)])
def test_a_file_that_is_no_demo_of_ours_is_left_alone(tmp_path: Path, content: bytes) -> None:
    (tmp_path / FILE).write_bytes(content)
    with pytest.raises(RefusalError, match="is not a demo database, so it is left alone"):
        fresh_file(str(tmp_path))
    assert (tmp_path / FILE).read_bytes() == content


def test_somebody_elses_sqlite_database_is_left_alone(tmp_path: Path) -> None:
    with closing(sqlite3.connect(tmp_path / FILE)) as connection:
        connection.execute("CREATE TABLE theirs (x)")
        connection.commit()
    with pytest.raises(RefusalError, match="left alone"):
        fresh_file(str(tmp_path))
    with closing(sqlite3.connect(tmp_path / FILE)) as connection:
        assert connection.execute("SELECT name FROM sqlite_master").fetchone() == ("theirs",)


def test_a_folder_by_the_files_name_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / FILE).mkdir()
    with pytest.raises(RefusalError, match="left alone"):
        fresh_file(str(tmp_path))


def test_a_link_that_leads_nowhere_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / FILE).symlink_to(tmp_path / "elsewhere")
    with pytest.raises(RefusalError, match="left alone"):
        fresh_file(str(tmp_path))


def test_a_demo_that_another_process_works_on_is_left_alone(tmp_path: Path) -> None:
    file, _ = fresh_file(str(tmp_path))
    with closing(sqlite3.connect(file)) as other:
        other.execute("PRAGMA journal_mode = WAL")
        other.execute("CREATE TABLE t (x)")
        other.execute("SELECT * FROM t").fetchall()
        with pytest.raises(RefusalError, match="is in use"):
            fresh_file(str(tmp_path))
    assert file.is_file()


def test_a_damaged_demo_is_replaced(tmp_path: Path) -> None:
    file, _ = fresh_file(str(tmp_path))
    head = file.read_bytes()[:100]
    file.write_bytes(head + b"\xff" * 4000)
    _, replaced = fresh_file(str(tmp_path))
    assert replaced


def test_a_file_in_place_of_the_folder_is_a_sentence(tmp_path: Path) -> None:
    (tmp_path / "taken").touch()
    with pytest.raises(RefusalError, match=r"cannot be written .*choose another with --folder"):
        fresh_file(str(tmp_path / "taken"))
