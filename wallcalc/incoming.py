"""Files that come in, under one guard: wall files, rule files and price books are all asked the same first.

A path has to lead to a regular file of a size that a person writes, in UTF-8; TOML is measured before it is read,
for a reader that meets brackets within brackets, endless numbers or keys of many parts is slow or gives up.
"""

from __future__ import annotations

import difflib
import os
import re
import stat
import tomllib
from collections.abc import Iterable, Sized
from dataclasses import dataclass
from typing import Any

from wallcalc.errors import Problem, WallcalcError
from wallcalc.units.quantities import shown

MOST_DEPTH = 12
"""Brackets stand no deeper within brackets than this."""

MOST_KEY_PARTS = 12
"""A key has no more parts between dots than this."""

MOST_WORD = 100
"""A number, or a key without quotes, has no more characters than this."""

MOST_TEXT = 10_000
"""A text or a key in quotes has no more characters than this."""

MOST_VALUES = 20_000
"""A TOML file has no more values than this."""

MOST_NEAREST = 30
"""So many words that are not known are compared with those that are; the rest is told without a guess."""

_KINDS = (
    (stat.S_ISDIR, "a folder"),
    (stat.S_ISFIFO, "a pipe"),
    (stat.S_ISCHR, "a device"),
    (stat.S_ISBLK, "a device"),
    (stat.S_ISSOCK, "a socket"),
)
_TOKEN = re.compile(
    r'''(?P<text>"""(?:[^"\\]++|\\.|"(?!""))*+(?:"{3,5})?|\'\'\'(?:[^']++|'(?!''))*+(?:'{3,5})?'''
    r"""|"(?:[^"\\\n]++|\\[^\n])*+"?|'[^'\n]*+'?)"""
    r"|(?P<note>\#[^\n]*+)|(?P<sign>[\[\]{}.=,\n])|(?P<word>[^\s\"'\#\[\]{}.=,]++)",
    re.DOTALL,
)
_PLACE = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)")


@dataclass(frozen=True, slots=True)
class Incoming:
    """A kind of file that comes in.

    Attributes
    ----------
    error : type of WallcalcError
        What is raised.
    most_bytes : int
        No file of the kind is larger.
    pages : str
        What is accepted in place of one that is larger.
    path : str
        What is accepted in place of a path that leads to no file.
    encoded : str
        What is accepted in place of another encoding.
    like : str
        What is accepted in place of TOML that cannot be read.
    """

    error: type[WallcalcError]
    most_bytes: int
    pages: str
    path: str
    encoded: str
    like: str = ""

    def content(self, path: str | os.PathLike[str]) -> bytes:
        """Return all of a file; one problem when it is none that can be read, and never a wait for a pipe."""
        where = "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in os.fspath(path))
        try:
            self._regular(os.stat(path).st_mode, where)
            # A pipe put in the file's place since then does not keep us waiting either.
            ways = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
            with open(os.open(path, ways), "rb") as file:
                self._regular(os.fstat(file.fileno()).st_mode, where)
                return self.sized(file.read(self.most_bytes + 1), where)
        except OSError as error:
            found = f"no file that can be read ({error.strerror or error})"
            raise self.error([Problem("file", found, self.path)], where) from error
        except WallcalcError:
            raise
        except ValueError:  # no path holds such a character
            found = "a path with a character that no path has (NUL, or half of one)"
            raise self.error([Problem("file", found, self.path)], where) from None

    def _regular(self, mode: int, where: str) -> None:
        for is_kind, name in _KINDS:
            if is_kind(mode):
                raise self.error([Problem("file", f"{name}, which is no file", self.path)], where)

    def sized(self, data: bytes, where: str) -> bytes:
        """Return content that is no larger than the kind of file may be."""
        if len(data) > self.most_bytes:
            raise self.error([Problem("file", f"more than {self.most_bytes:,} bytes", self.pages)], where)
        return data

    def text(self, data: bytes, where: str) -> str:
        """Return content as text, without a byte order mark; line ends stay as they are."""
        self.sized(data, where)
        try:
            text = data.decode("utf-8-sig")
        except UnicodeDecodeError as error:
            found = f"a byte that is not UTF-8 text (0x{data[error.start]:02x})"
            line = _line(data[: error.start].decode("latin-1"))
            raise self.error([Problem(f"line {line}", found, self.encoded)], where) from None
        if "\0" in text:
            line = _line(text[: text.index("\0")])
            raise self.error([Problem(f"line {line}", "the character NUL", self.encoded)], where)
        return text

    def toml(self, text: str, where: str) -> dict[str, Any]:
        """Return the tables of TOML text; an error of TOML itself is told alone, with its line and column."""
        text = text.removeprefix("\ufeff").replace("\r\n", "\n").replace("\r", "\n")
        problem = self._unreadable(text)
        if problem is None:
            try:
                return tomllib.loads(text)
            except (ValueError, RecursionError) as error:
                problem = self._syntax_problem(text, error)
        raise self.error([problem], where)

    def _unreadable(self, text: str) -> Problem | None:
        """Return the first thing that would be too much for a reader of TOML."""
        depth = parts = values = 0
        for token in _TOKEN.finditer(text):
            sign, word = token["sign"], token["word"]
            if sign is not None:
                depth += (sign in "[{") - (sign in "]}")
                parts = parts + 1 if sign == "." else 0
                values += sign in "=,["
            found = ""
            if depth > MOST_DEPTH:
                found = "brackets within brackets, too deep to read"
            elif parts > MOST_KEY_PARTS:
                found = f"a key of more than {MOST_KEY_PARTS} parts"
            elif word is not None and len(word) > MOST_WORD:
                what = "number" if word[0].isdigit() or word[0] in "+-" else "word without quotes"
                found = f"a {what} of {len(word):,} characters, too long to read"
            elif token["text"] is not None and len(token["text"]) > MOST_TEXT:
                found = f"a text of {len(token['text']):,} characters, too long to read"
            elif values > MOST_VALUES:
                return Problem("file", f"more than {MOST_VALUES:,} values", self.like)
            if found:
                return Problem(f"line {_line(text[: token.start()])}", found, self.like)
        return None

    def _syntax_problem(self, text: str, error: Exception) -> Problem:
        """Return the place of an error of TOML, the line found there, and what may be wrong with it."""
        lines = text.split("\n")
        match = _PLACE.search(str(error))
        if match is None:
            return Problem("file", f"what cannot be read ({error})", self.like)
        reason = _PLACE.sub("", str(error))
        if match[1]:
            line, column = int(match[1]), int(match[2])
        else:
            line, column = len(lines), len(lines[-1]) + 1
        found = lines[line - 1].strip() if line <= len(lines) else ""
        accepted = f"TOML ({shown(reason[:1].lower() + reason[1:])[1:-1]})"
        number = re.fullmatch(
            r"([\w.-]+)\s*=\s*([+-]?[0-9][0-9.,]*)\s*([^\s0-9.,\]#\"'][^\"]*)?", found[:200]
        )
        if number is not None and number[3]:
            plain = f"{number[2].replace(',', '.')} {number[3].strip()}"
            accepted += f'; a value with a unit stands in quotes: {number[1]} = "{plain}"'
        elif number is not None and "," in number[2]:
            accepted += "; a decimal point in place of the comma"
        elif re.fullmatch(r"""[\w.-]+\s*=\s*"[^"]*[0-9]"+.*""", found[:200]):
            accepted += '; within quotes write inches as in: "8 ft 4 in"'
        return Problem(f"line {line}, column {column}", shown(found)[1:-1] or "the end of the file", accepted)


def _line(before: str) -> int:
    """Return the line that the text before a place ends in, whatever the line ends."""
    return before.count("\n") + before.count("\r") - before.count("\r\n") + 1


def hint(word: str, known: Iterable[str], told: Sized = ()) -> str:
    """Return the known word nearest to one not known, as "; nearest: ..."; "" when none is near or much is told."""
    near = nearest(word, known, 0.5) if len(told) < MOST_NEAREST else None
    return f"; nearest: {near}" if near else ""


def nearest(word: str, known: Iterable[str], cutoff: float = 0.6) -> str | None:
    """Return the known word that is nearest to one not known, None when none is near."""
    known, plain = list(known), word[:MOST_WORD].lower()
    exact = [w for w in known if w.lower() == plain.strip().replace("-", "_").replace(" ", "_")]
    near = exact or difflib.get_close_matches(plain, known, n=1, cutoff=cutoff)
    return near[0] if near else None
