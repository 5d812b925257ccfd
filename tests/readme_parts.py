"""README taken apart: its sections and steps, the names it quotes from the screen, its tables, links and code."""

from __future__ import annotations

import re
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
README = ROOT / "README.md"

_FENCE = re.compile(r"^```(\w*)\n(.*?)^```$", re.DOTALL | re.MULTILINE)
_NAME = re.compile(r"(?<!\*)\*([^*\n]+)\*(?!\*)")
_CODE = re.compile(r"`([^`\n]+)`")
_LINK = re.compile(r"!?\[[^\]]*\]\(([^)]+)\)")


def text() -> str:
    return README.read_text(encoding="utf-8")


def section(title: str, level: int = 2) -> str:
    """Return what stands under a heading, up to the next one that is not deeper."""
    found = re.search(
        rf"^{'#' * level} {title}\n(.*?)(?=^#{{1,{level}}} |\Z)", text(), re.DOTALL | re.MULTILINE
    )
    assert found, f"README has no heading '{title}'"
    return found[1]


def step(number: int) -> str:
    """Return a step of the first five minutes."""
    return section(rf"{number}\. [^\n]+", 3)


def prose(part: str) -> str:
    return _LINK.sub("", _FENCE.sub("", part))


def names(part: str) -> list[str]:
    """Return what is quoted from the screen, in the order it stands."""
    return list(dict.fromkeys(_NAME.findall(_CODE.sub("", prose(part)))))


def codes(part: str) -> list[str]:
    """Return what is set as code within lines."""
    return _CODE.findall(prose(part))


def table(part: str) -> list[list[str]]:
    """Return the rows of a part's table, without its head."""
    lines = [line for line in part.splitlines() if line.startswith("|")]
    return [[cell.strip() for cell in line.strip("|").split("|")] for line in lines[2:]]


def blocks(language: str) -> list[str]:
    """Return the fenced blocks of a language; "" for those that name none."""
    return [body for named, body in _FENCE.findall(text()) if named == language]


def links() -> list[str]:
    return _LINK.findall(text())
