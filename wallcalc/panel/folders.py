"""An option in words, as its folder and the lesson call it."""

from __future__ import annotations

from wallcalc.given.option import Option


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
