"""Reading documents strictly. Source of what JSON is: RFC 8259."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from api.cli import documents
from api.cli.documents import DEEPEST, read_document, read_json
from api.cli.refusal import SHOWN, RefusalError
from schemas.daybook import Grid
from schemas.style import RowPattern
from tests.api.cli.cli_run import write


def refusal(folder: Path, content: object) -> RefusalError:
    with pytest.raises(RefusalError) as raised:
        read_json(str(write(folder, content)))
    return raised.value


@pytest.mark.parametrize(
    ("content", "sentence", "pointer"),
    [
        ("", "is empty", None),
        (" \n", "is empty", None),
        (b"\xff\xfe{\x00", "not UTF-8", None),
        ('{"a": 1,}', "line 1, column 9", ""),
        ('{"a": 1\n "b": 2}', "line 2, column 2", ""),
        ('{"a": {"b": 1, "b": 2}}', "not sound", "/a/b"),
        ('{"a": [0, NaN]}', "not sound", "/a/1"),
        ('{"a": -Infinity}', "not sound", "/a"),
        ('{"a": 1e999}', "not sound", "/a"),
        ("[" * 100_000, "nested too deeply", ""),
        ("[" * 200 + "]" * 200, "nested too deeply", ""),
        ('{"a": ' + "9" * 5000 + "}", "too many digits", None),
    ],
)
def test_what_is_no_sound_json_is_refused_with_its_place(
    tmp_path: Path, content: str | bytes, sentence: str, pointer: str | None
) -> None:
    refused = refusal(tmp_path, content)
    assert sentence in refused.sentence
    assert [fault.pointer for fault in refused.faults] == ([] if pointer is None else [pointer])


def test_a_byte_order_mark_is_no_fault(tmp_path: Path) -> None:
    assert read_json(str(write(tmp_path, b'\xef\xbb\xbf{"a": 1}'))) == {"a": 1}


def test_the_deepest_document_allowed_is_read(tmp_path: Path) -> None:
    text = "[" * DEEPEST + "]" * DEEPEST
    assert read_json(str(write(tmp_path, text))) == json.loads(text)


def test_a_folder_is_refused_with_what_to_do(tmp_path: Path) -> None:
    with pytest.raises(RefusalError, match=r"is a folder; name a JSON file"):
        read_json(str(tmp_path))


def test_a_missing_file_is_refused_with_what_to_do(tmp_path: Path) -> None:
    with pytest.raises(RefusalError, match=r"is not there; check the name"):
        read_json(str(tmp_path / "nothing.json"))


def test_a_name_too_long_for_the_system_is_no_traceback() -> None:
    with pytest.raises(RefusalError, match="cannot be read"):
        read_json("x" * 5000)


def test_an_endless_file_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(documents, "LARGEST_BYTES", 1024 * 1024)
    with pytest.raises(RefusalError, match="larger than 1 MB"):
        read_json("/dev/zero")


def test_every_fault_of_a_document_is_told(tmp_path: Path) -> None:
    file = write(tmp_path, {"first": [0, "3"], "rows": True, "row": 1})
    with pytest.raises(RefusalError) as raised:
        read_document(str(file), RowPattern)
    assert [fault.pointer for fault in raised.value.faults] == [
        "/first/0",
        "/first/1",
        "/rows",
        "/row",
    ]


def test_many_faults_are_counted_after_the_first_ones() -> None:
    with pytest.raises(RefusalError) as raised:
        documents.as_document({f"x{n}": 1 for n in range(SHOWN + 5)}, Grid, "-")
    lines = raised.value.lines()
    assert len(lines) == SHOWN + 2
    assert lines[-1].strip() == "... and 5 more"


def test_the_words_of_the_input_cannot_steer_a_terminal() -> None:
    with pytest.raises(RefusalError) as raised:
        documents.as_document({"\x1b[2J": 1}, Grid, "-")
    assert "\x1b" not in "".join(raised.value.lines())
    assert "\\x1b[2J" in "".join(raised.value.lines())


_JSON = st.recursive(
    st.none() | st.booleans() | st.integers(-(10**9), 10**9) | st.text(max_size=5),
    lambda below: st.lists(below, max_size=3) | st.dictionaries(st.text(max_size=3), below),
    max_leaves=8,
)


@given(_JSON)
def test_sound_json_is_read_as_the_standard_library_reads_it(value: object) -> None:
    data = json.loads(json.dumps(value))
    documents._inspect(data, "-")
    assert json.loads(json.dumps(value), object_pairs_hook=documents._object) == value
