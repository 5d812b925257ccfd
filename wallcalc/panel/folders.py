"""Names of the folders that exports go to: one for every wall, and in it one for every option."""

from __future__ import annotations

import re

from wallcalc.given.option import Option

LONGEST_NAME = 150
"""Characters of a folder's name: enough to tell every option from the next."""


def option_words(option: Option) -> str:
    """Return an option in words, all that tells it from others.

    Parameters
    ----------
    option : Option
        The option.

    Returns
    -------
    str
    """
    o = option
    words = [
        o.section,
        "fitted" if o.stud_layout == "fitted" else f"{o.stud_centres:g} from {o.set_out_from}",
        o.board_orientation,
        o.sheet or "any sheet",
    ]
    words += [f"layers {o.layers_a} {o.layers_b}", o.fill or "no fill"]
    words += [f"side {side} {board}" for side, board in (("A", o.board_a), ("B", o.board_b)) if board]
    if o.course_from != "ceiling":
        words.append(f"courses from {o.course_from}")
    return " ".join(words)


def folder_name(text: str) -> str:
    """Return a text as a folder's name: small letters, figures and underscores, "wall" when nothing is left.

    Parameters
    ----------
    text : str
        Any text.

    Returns
    -------
    str
    """
    return re.sub(r"[^a-z0-9]+", "_", text.lower()).strip("_")[:LONGEST_NAME] or "wall"
