"""Files: their names, writing them whole or not at all, TOML, and cells that no spreadsheet takes for a formula."""

from __future__ import annotations

import contextlib
import csv
import io
import os
import re
import unicodedata
import uuid
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import count
from os import PathLike
from pathlib import Path
from typing import Any

import tomlkit

RISKY = ("=", "+", "-", "@", "\t", "\r", "\n")
ENCODING = "utf-8-sig"


LONGEST_NAME = 150
"""Bytes of a file's or folder's name, ending aside: enough to tell every option from the next."""

_LETTERS = ("L", "M", "N", "So")
_JOINERS = "\u200c\u200d"  # letters of some scripts, and some pictures, are joined by them
_RESERVED = re.compile(r"con|prn|aux|nul|conin|conout|clock|com[0-9]|lpt[0-9]")


class FileHeldError(PermissionError):
    """A file or folder that could not be written, with what to do about it."""


def write_bytes(path: str | PathLike[str], content: bytes) -> Path:
    """Write a file atomically: a reader sees the old content or the new one, never a part.

    The content goes to a temporary file in the same folder, is flushed to the disk and then takes the name.

    The file written. Raises FileHeldError: when the file is held open by another program or the folder may
    not be written to.
    """
    target = Path(path)
    temporary = target.parent / f".{target.name}.{uuid.uuid4().hex[:12]}.part"
    try:
        with temporary.open("xb") as stream:
            stream.write(content)
            stream.flush()
            os.fsync(stream.fileno())
        os.replace(temporary, target)
    except PermissionError as error:
        raise held(target) from error
    finally:
        with contextlib.suppress(OSError):
            temporary.unlink(missing_ok=True)
    return target


def write_text(path: str | PathLike[str], text: str, *, encoding: str = "utf-8") -> Path:
    """Write a text file atomically, line ends as they are in ``text``; see :func:`write_bytes`.

    The file written. Raises FileHeldError: when the file may not be written.
    """
    return write_bytes(path, text.encode(encoding))


def csv_bytes(columns: Sequence[str], rows: Iterable[Sequence[object]], *, guard: bool = True) -> bytes:
    """Return a CSV table as bytes: UTF-8 with a byte-order mark, so that spreadsheets read it right."""
    convert = safe_cell if guard else _plain_cell
    stream = io.StringIO(newline="")
    writer = csv.writer(stream)
    writer.writerow([convert(c) for c in columns])
    writer.writerows([convert(c) for c in row] for row in rows)
    return stream.getvalue().encode(ENCODING)


def toml_text(tables: Mapping[str, Any], remark: str = "") -> str:
    """Return plain tables as TOML: lists of values on one line each, an empty line before each table."""
    document = tomlkit.document()
    if remark:
        document.add(tomlkit.comment(remark))
    for key, value in tables.items():
        document.add(key, tomlkit.item(value))
    return document.as_string()


def read_csv_table(path: str | PathLike[str]) -> list[dict[str, str]]:
    """Return the rows of a CSV file written here, as text, the apostrophes of :func:`safe_cell` taken off.

    One dict per row, keyed by the header.
    """
    with open(path, encoding=ENCODING, newline="") as stream:
        return [{unsafe_cell(k): unsafe_cell(v) for k, v in row.items()} for row in csv.DictReader(stream)]


def safe_cell(value: object) -> object:
    """Return a cell that no spreadsheet takes for a formula; numbers stay numbers.

    Text that begins, after spaces and with full-width forms folded, with = + - @, tab, carriage return or
    line feed gets an apostrophe before it. Text that already begins with an apostrophe gets another, so
    that reading back is exact.

    The number, or safe text.
    """
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float)):
        return value
    if hasattr(value, "item") and callable(value.item):
        return safe_cell(value.item())
    text = str(value)
    return f"'{text}" if text.startswith("'") or _risky(text) else text


def unsafe_cell(text: str) -> str:
    """Return the text that :func:`safe_cell` was given."""
    if text.startswith("'") and (text.startswith("''") or _risky(text[1:])):
        return text[1:]
    return text


def file_name(text: str, otherwise: str = "wall") -> str:
    """Return a text as the name of a file or folder, without an ending, that every system takes.

    Small letters of any script, figures and pictures, underscores for the rest; no name that Windows keeps for
    its devices ("con" becomes "con_").

    Examples
    --------
    >>> file_name("Laundry / practice room"), file_name("Стена 2"), file_name("CON")
    ('laundry_practice_room', 'стена_2', 'con_')
    """
    plain = unicodedata.normalize("NFC", unicodedata.normalize("NFC", text).lower())
    kept = "".join(c if unicodedata.category(c).startswith(_LETTERS) or c in _JOINERS else "_" for c in plain)
    name = re.sub("_+", "_", kept).strip("_" + _JOINERS)
    name = name.encode()[:LONGEST_NAME].decode(errors="ignore").strip("_" + _JOINERS) or otherwise
    return f"{name}_" if _RESERVED.fullmatch(unicodedata.normalize("NFKC", name)) else name


def numbered(name: str) -> Iterator[str]:
    """Yield a name, then the same with 2, 3, ... after it, for what may not take the place of another."""
    yield name
    yield from (f"{name}_{number}" for number in count(2))


def held(target: Path) -> FileHeldError:
    """Return the error for a file that may not be written."""
    return FileHeldError(
        f"cannot write {target}: it is open in another program (a spreadsheet, perhaps), or this folder is"
        " protected. Close the file there, or choose another folder, and write again. Nothing was changed."
    )


def _plain_cell(value: object) -> object:
    return "" if value is None else value


def _risky(text: str) -> bool:
    if text[:1] in ("\t", "\r", "\n"):
        return True
    folded = unicodedata.normalize("NFKC", text).lstrip(" ")
    return folded[:1] in RISKY
