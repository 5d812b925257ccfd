"""What the panel has to say about the last action."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Message:
    """Something to tell the user: ``level`` is "info", "caution" or "error"."""

    level: str
    text: str
