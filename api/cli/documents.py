"""Reading documents: strict JSON (RFC 8259) from a file or standard input.

Python's own reader is lenient: it keeps the last of two equal keys and reads NaN. Here both are
refused, because a day book that says two things about one chair is a mistake to be shown.
"""

from __future__ import annotations

import json
import math
import sys
from pathlib import Path
from typing import Any, BinaryIO, TypeVar

from pydantic import BaseModel, ValidationError

from api.cli.refusal import RefusalError
from api.pointers import faults, pointer
from solver.errors import Fault

LARGEST_BYTES = 32 * 1024 * 1024
DEEPEST = 64
"""Levels of nesting; our own documents need fewer than twenty."""

D = TypeVar("D", bound=BaseModel)


class _Doubled(dict[str, Any]):
    """An object whose text stated `key` twice."""

    key: str = ""


def read_document(file: str, model: type[D]) -> D:
    """The document in `file` (`-` is standard input). Raises RefusalError with pointers."""
    return as_document(read_json(file), model, file)


def as_document(data: Any, model: type[D], file: str, base: str = "") -> D:
    """`data` as `model`; `file` and `base` say where it came from. Raises RefusalError."""
    try:
        return model.model_validate(data)
    except ValidationError as error:
        raise RefusalError(
            f"{spoken(file)} is not a {model.__name__}; correct the fields below"
            f" (partline schema shows what is allowed)",
            faults(error, data, model, base),
        ) from None
    except RecursionError:  # pragma: no cover - the depth is bounded before we get here
        raise RefusalError(f"{spoken(file)} is nested too deeply") from None


def spoken(file: str) -> str:
    return "standard input" if file == "-" else file


def read_json(file: str) -> Any:
    """The JSON value in `file`. Raises RefusalError with the line or the pointer of a fault."""
    text = _decoded(_bytes(file), file)
    if not text.strip():
        raise RefusalError(f"{spoken(file)} is empty: it must hold one JSON document")
    try:
        data = json.loads(text, object_pairs_hook=_object)
    except json.JSONDecodeError as error:
        raise RefusalError(
            f"{spoken(file)} is not JSON: {error.msg[0].lower()}{error.msg[1:]}"
            f" at line {error.lineno}, column {error.colno}",
            [Fault("", "correct the JSON at that place")],
        ) from None
    except RecursionError:
        raise _too_deep(file) from None
    except ValueError:
        raise RefusalError(
            f"{spoken(file)} holds a number with too many digits; write a number of a sane length"
        ) from None
    _inspect(data, file)
    return data


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    plain = dict(pairs)
    if len(plain) == len(pairs):
        return plain
    doubled, seen = _Doubled(plain), set[str]()
    for key, _ in pairs:
        if key in seen:
            doubled.key = key
            break
        seen.add(key)
    return doubled


def _inspect(data: Any, file: str) -> None:
    """Refuse what the reader let pass: doubled keys, numbers that are none, endless nesting."""
    found: list[Fault] = []
    waiting: list[tuple[Any, tuple[str | int, ...]]] = [(data, ())]
    while waiting:
        value, place = waiting.pop()
        if len(place) > DEEPEST:
            raise _too_deep(file)
        if isinstance(value, dict):
            if isinstance(value, _Doubled):
                detail = "is stated twice: keep one of them"
                found.append(Fault(pointer((*place, value.key)), detail))
            waiting.extend((below, (*place, key)) for key, below in value.items())
        elif isinstance(value, list):
            waiting.extend((below, (*place, index)) for index, below in enumerate(value))
        elif isinstance(value, float) and not math.isfinite(value):
            found.append(Fault(pointer(place), "must be a finite number, not NaN or infinity"))
    if found:
        found.sort(key=lambda fault: fault.pointer)
        raise RefusalError(f"{spoken(file)} is not sound JSON", found)


def _too_deep(file: str) -> RefusalError:
    return RefusalError(
        f"{spoken(file)} is nested too deeply: more than {DEEPEST} levels",
        [Fault("", "no document of ours needs so many levels; remove some")],
    )


def _decoded(raw: bytes, file: str) -> str:
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise RefusalError(
            f"{spoken(file)} is not UTF-8 (byte {error.start}); save it as UTF-8"
        ) from None


def _bytes(file: str) -> bytes:
    try:
        if file == "-":
            return _bounded(sys.stdin.buffer, file)
        path = Path(file)
        if path.is_dir():
            raise RefusalError(
                f"{file} is a folder; name a JSON file in it, or - for standard input"
            )
        with path.open("rb") as stream:
            return _bounded(stream, file)
    except FileNotFoundError:
        raise RefusalError(
            f"{file} is not there; check the name, or use - for standard input"
        ) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise RefusalError(f"{spoken(file)} cannot be read ({reason})") from None


def _bounded(stream: BinaryIO, file: str) -> bytes:
    raw = stream.read(LARGEST_BYTES + 1)
    if len(raw) > LARGEST_BYTES:
        megabytes = LARGEST_BYTES // (1024 * 1024)
        raise RefusalError(f"{spoken(file)} is larger than {megabytes} MB; split it by weeks")
    return raw
