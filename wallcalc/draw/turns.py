"""One thread at a time: JupyterLab hands what a person does in a panel to a thread of its own.

Since version 7 the notebook kernel runs what comes from widgets beside the cells and beside what a panel works on
between moves. Neither a panel nor matplotlib can be changed by one thread while another draws it: pictures lose their
ground, and artists vanish while they are drawn.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from functools import wraps
from typing import Any, TypeVar

Work = TypeVar("Work", bound=Callable[..., Any])

TURN = threading.RLock()
"""Held by whoever changes or draws something that is shown; work that touches nothing of it needs no turn."""


def in_turn(work: Work) -> Work:
    """Return a function or method that waits for its turn."""

    @wraps(work)
    def waits(*args: Any, **kwargs: Any) -> Any:
        with TURN:
            return work(*args, **kwargs)

    return waits  # type: ignore[return-value]
