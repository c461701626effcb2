"""The demo's database file: made afresh each time, and nobody else's file is ever touched."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

from api.cli.refusal import RefusalError

FILE = "partline-demo.sqlite"
MARK = 0x50744C6E
"""SQLite's `application_id` of our demo files (sqlite.org/fileformat.html, bytes 68 to 71)."""
_MAGIC = b"SQLite format 3\x00"
_COMPANIONS = ("-wal", "-shm", "-journal")


def fresh_file(folder: str) -> tuple[Path, bool]:
    """An empty demo database in `folder`, and whether an older demo was replaced.

    Raises RefusalError where the folder cannot be written, the file is not a demo of ours, or
    another demo still works on it.
    """
    file = Path(folder) / FILE
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        older = file.exists() or file.is_symlink()
        if older:
            _refuse_what_is_not_ours(file)
            _refuse_what_is_in_use(file)
            for name in (file, *(Path(f"{file}{end}") for end in _COMPANIONS)):
                name.unlink(missing_ok=True)
        with closing(sqlite3.connect(file)) as connection:
            connection.execute(f"PRAGMA application_id = {MARK}")
            connection.commit()
    except (OSError, sqlite3.Error) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise RefusalError(
            f"the folder {folder} cannot be written ({reason}); choose another with --folder"
        ) from None
    return file, older


def _refuse_what_is_not_ours(file: Path) -> None:
    head = b""
    if file.is_file():
        with file.open("rb") as stream:
            head = stream.read(100)
    if not (head.startswith(_MAGIC) and int.from_bytes(head[68:72], "big") == MARK):
        raise RefusalError(
            f"{file} is not a demo database, so it is left alone; move it away, or choose another "
            "folder with --folder"
        )


def _refuse_what_is_in_use(file: Path) -> None:
    # Leaving WAL mode needs the file to oneself: SQLite refuses while another process has it open.
    with closing(sqlite3.connect(file, timeout=0.5)) as connection:
        try:
            connection.execute("PRAGMA journal_mode = DELETE").fetchone()
        except sqlite3.OperationalError:
            raise RefusalError(
                f"{file} is in use, by another demo most likely; stop it, or choose another folder "
                "with --folder"
            ) from None
        except sqlite3.DatabaseError:
            pass  # ours by its mark, but damaged: it is replaced
