"""Cutting diagrams: bought lengths of timber as bars, bought sheets and slabs as rectangles."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from types import MappingProxyType
from typing import Any

import pandas as pd
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Ellipse, Polygon, Rectangle

from wallcalc.boarding.blanks import OnSheet, cut_text, free_place, is_tapered, on_sheet
from wallcalc.draw import style
from wallcalc.draw.style import look, new_figure
from wallcalc.records import Board

NO_BOARDS: Mapping[str, Board] = MappingProxyType({})
LETTER = 0.020
"""Width of a label's letter over the longest sheet, about."""


def draw_bars(
    ax: Axes, timber_cuts: pd.DataFrame, format_length: Callable[[float], str] = "{:g}".format
) -> None:
    """Draw each bought length as a bar with its cuts in order; the offcut is hatched."""
    alike = _alike((r.stock, r.stock_length, tuple(n for _, n in r.cuts)) for r in timber_cuts.itertuples())
    rows = [(timber_cuts.iloc[found[0]], found) for found in alike]
    longest = max((r["stock_length"] for r, _ in rows), default=1.0)
    with look():
        ax.clear()
        for k, (row, found) in enumerate(rows):
            x = 0.0
            ax.add_patch(
                Rectangle(
                    (0, k - 0.32),
                    row["stock_length"],
                    0.64,
                    facecolor=style.PAPER,
                    edgecolor=style.SOFT,
                    hatch="////",
                )
            )
            for mark, length in row["cuts"]:
                ax.add_patch(
                    Rectangle(
                        (x, k - 0.32),
                        length,
                        0.64,
                        facecolor=style.TIMBER,
                        edgecolor=style.TIMBER_EDGE,
                        linewidth=0.8,
                    )
                )
                room = length / longest
                if room > 0.055:
                    name = (
                        f"{mark}{' etc.' if len(found) > 1 else ''}\n{format_length(length)}"
                        if room > 0.07
                        else str(mark)
                    )
                    ax.text(x + length / 2, k, name, ha="center", va="center", fontsize=6.0, linespacing=1.15)
                x += length
            label = f"{len(found)} x {row['stock']}" if len(found) > 1 else str(row["stock"])
            ax.text(-longest * 0.012, k, label, ha="right", va="center", fontsize=7)
            ax.text(
                row["stock_length"] + longest * 0.008,
                k,
                f"left {format_length(row['offcut'])}",
                ha="left",
                va="center",
                fontsize=6.5,
                color=style.SOFT,
            )
        ax.set_xlim(-longest * 0.20, longest * 1.10)
        ax.set_ylim(max(len(rows), 4) - 0.4, -0.6)
        ax.set_axis_off()


def draw_sheets(
    ax: Axes,
    sheet_cuts: pd.DataFrame,
    across: int = 4,
    format_length: Callable[[float], str] = "{:g}".format,
    boards: Mapping[str, Board] = NO_BOARDS,
) -> None:
    """Draw each bought sheet with the boards cut from it; what is cut from a door cut-out is hatched.

    Holes for services and sides on a slope are drawn to scale, as they lie on the blank seen from its face.
    """
    alike = _sheets_alike(sheet_cuts, boards)
    rows = [(sheet_cuts.iloc[found[0]], found) for found in alike]
    wide = max((r["sheet_length"] for r, _ in rows), default=1.0)
    tall = max((r["sheet_width"] for r, _ in rows), default=1.0)
    step_x, step_y = wide * 1.08, tall * 1.30
    with look():
        ax.clear()
        for k, (row, found) in enumerate(rows):
            x0, y0 = (k % across) * step_x, (k // across) * step_y
            ax.add_patch(
                Rectangle(
                    (x0, y0),
                    row["sheet_length"],
                    row["sheet_width"],
                    facecolor=style.PAPER,
                    edgecolor=style.SOFT,
                    hatch="////",
                )
            )
            ordered = sorted(enumerate(row["cuts"]), key=lambda item: item[1][5] is not None)
            for n, (mark, x, y, w, h, parent) in ordered:
                look_of = {
                    "facecolor": style.CUT_COLOURS[n % len(style.CUT_COLOURS)],
                    "edgecolor": style.INK,
                    "linewidth": 0.8,
                    "hatch": "...." if isinstance(parent, str) else None,
                }
                put = _put(boards, (mark, x, y, w, h, parent), row)
                if put is not None and put.corners:
                    ax.add_patch(Polygon([(x0 + a, y0 + b) for a, b in put.corners], **look_of))
                else:
                    ax.add_patch(Rectangle((x0 + x, y0 + y), w, h, **look_of))
                holes = put.holes if put is not None else ()
                for (a, b, wide_of, tall_of), is_round in holes:
                    at, how = (
                        (x0 + a, y0 + b),
                        {"facecolor": style.PAPER, "edgecolor": style.INK, "linewidth": 0.6},
                    )
                    if is_round:
                        at = (at[0] + wide_of / 2, at[1] + tall_of / 2)
                        ax.add_patch(Ellipse(at, wide_of, tall_of, **how))
                    else:
                        ax.add_patch(Rectangle(at, wide_of, tall_of, **how))
                name = f"{mark}\n{format_length(w)} x {format_length(h)}"
                slim = h < tall * 0.22
                text, turned = (str(mark) if slim or w < wide * 0.3 else name), w < h * 0.4
                lines = text.split("\n")
                size = (max(map(len, lines)) * LETTER * wide, len(lines) * LETTER * 2.2 * wide)
                spot = free_place(
                    (x, y, w, h),
                    [box for box, _ in holes],
                    *(size[::-1] if turned else size),
                    put.corners if put is not None else (),
                )
                cx, cy = spot or (x + w / 2, y + h / 2)
                ax.text(
                    x0 + cx,
                    y0 + cy,
                    text,
                    ha="center",
                    va="center",
                    fontsize=6.0,
                    rotation=90 if turned else 0,
                )
            title = f"{len(found)} x {row['stock']}" if len(found) > 1 else str(row["stock"])
            ax.text(x0, y0 - tall * 0.03, title, ha="left", va="bottom", fontsize=6.8)
        lines = max(1, math.ceil(len(rows) / across))
        ax.set_xlim(-wide * 0.02, across * step_x)
        ax.set_ylim(lines * step_y, -tall * 0.25)
        ax.set_aspect("equal", adjustable="box", anchor="NW")
        ax.set_axis_off()


def _alike(keys: Iterable[Any]) -> list[list[int]]:
    groups: dict[Any, list[int]] = {}
    for k, key in enumerate(keys):
        groups.setdefault(key, []).append(k)
    return list(groups.values())


def _sheets_alike(sheet_cuts: pd.DataFrame, boards: Mapping[str, Board]) -> list[list[int]]:
    keys = []
    for r in sheet_cuts.itertuples():
        cuts = tuple((*cut[1:5], bool(cut[5]), _put(boards, cut, r)) for cut in r.cuts)
        keys.append((r.stock, r.sheet_length, r.sheet_width, cuts))
    return _alike(keys)


def _put(boards: Mapping[str, Board], cut: tuple[Any, ...], row: Any) -> OnSheet | None:
    """Where what is cut in a board lies; None for a plain rectangle."""
    board = boards.get(cut[0])
    if board is None or not (board.pierced or is_tapered(board)):
        return None
    return replace(on_sheet(board, cut, row), cut_outs=())


def cutting_figures(design: Any, width: int = 860) -> list[tuple[Figure, str, str]]:
    """Return the cutting diagrams of a design: timber, boards and slabs, each with its text and name.

    Figures tall enough for what they show, the text that stands for each, and its heading.
    """
    pictures = []
    timber = design.timber_cuts
    if len(timber):
        groups = len(
            _alike((r.stock, r.stock_length, tuple(n for _, n in r.cuts)) for r in timber.itertuples())
        )
        figure = new_figure(width, 30 + 34 * max(groups, 2))
        draw_bars(figure.add_axes((0, 0, 1, 1)), timber)
        left = float(timber["offcut"].sum()) / 1000
        alt = f"Timber cutting plan: {len(timber)} lengths bought, {left:.2f} m left over."
        pictures.append((figure, alt, "Timber"))
    for cuts, what, across in ((design.sheet_cuts, "Board", 4), (design.slab_cuts, "Slab", 6)):
        if not len(cuts):
            continue
        boards = {b.mark: b for b in design.frame.boards} if what == "Board" else NO_BOARDS
        groups = len(_sheets_alike(cuts, boards))
        lines = math.ceil(groups / across)
        long, wide = float(cuts["sheet_length"].max()), float(cuts["sheet_width"].max())
        each = (width * 0.98) / (across * long * 1.08 + long * 0.02)
        figure = new_figure(width, int(each * (lines * wide * 1.30 + wide * 0.25)) + 6)
        draw_sheets(figure.add_axes((0.01, 0, 0.98, 1)), cuts, across, boards=boards)
        alt = f"{what} cutting plan: {len(cuts)} bought, cut in {groups} different ways."
        pictures.append((figure, f"{alt} {cut_text(tuple(boards.values()))}".rstrip(), f"{what}s"))
    return pictures
