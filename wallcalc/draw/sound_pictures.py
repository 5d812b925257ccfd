"""Pictures of sound: the curve against its contour, what each choice does, measured against predicted, the door."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import MaxNLocator
from numpy.typing import ArrayLike, NDArray

from wallcalc.draw.style import (
    BLUE,
    FAINT,
    GREY,
    INK,
    ORANGE,
    PLUM,
    RED,
    SOFT,
    VIOLET,
    look,
    new_figure,
    spread,
)
from wallcalc.sound.measured import Row, Score
from wallcalc.sound.prediction import DEFAULT
from wallcalc.sound.ratings import ISO_BANDS, ISO_CURVE, STC_BANDS, STC_CONTOUR
from wallcalc.sound.records import BANDS, Sound
from wallcalc.sound.uncertainty import of_model

STYLES = (
    (BLUE, "-", "o"),
    (ORANGE, (0, (5, 1.6)), "s"),
    (RED, (0, (1.4, 1.2)), "^"),
    (PLUM, (0, (6, 1.4, 1.4, 1.4)), "D"),
    (VIOLET, "-", "v"),
)
TICKS = (63, 125, 250, 500, 1000, 2000, 4000)


def _frequency_axis(axes: Axes, low: float = 50.0, high: float = 5000.0, room: float = 1.0) -> None:
    axes.set_xscale("log")
    axes.set_xlim(low / 1.06, high * 1.06 * room)
    axes.set_xticks(TICKS, ["63", "125", "250", "500", "1k", "2k", "4k"])
    axes.minorticks_off()
    axes.set_xlabel("third-octave band, Hz")
    axes.grid(axis="y")


def _label_ends(
    axes: Axes, x: float, ends: Sequence[float], texts: Sequence[str], colours: Sequence[str]
) -> None:
    low, high = axes.get_ylim()
    order = np.argsort(ends)
    places = spread([ends[i] for i in order], 0.05 * (high - low), low, high)
    for i, y in zip(order, places, strict=True):
        axes.annotate(
            texts[i], (x, ends[i]), (1.035, y), textcoords=axes.get_yaxis_transform(), color=colours[i], va="center",
            ha="left", fontsize=8, annotation_clip=False,
            arrowprops={
                "arrowstyle": "-", "color": colours[i], "lw": 0.6, "shrinkA": 1, "shrinkB": 1, "relpos": (0.0, 0.5)
            },
        )  # fmt: skip


def draw_contours(sound: Sound, title: str, *, width: int = 900, height: int = 380) -> Figure:
    """Draw one prediction under the contours of both standards, with the shortfalls."""
    R = np.array(sound.R)
    figure = new_figure(width, height)
    with look():
        figure.suptitle(title, x=0.06, ha="left", fontsize=10.5, fontweight="bold", color=INK)
        left, right = figure.subplots(1, 2, sharey=True)
        figure.subplots_adjust(left=0.06, right=0.985, top=0.83, bottom=0.13, wspace=0.07)
        cases = (
            (
                left,
                ISO_BANDS,
                ISO_CURVE + sound.Rw - 52.0,
                f"ISO 717-1: Rw {sound.Rw} ({sound.C}; {sound.Ctr}) dB",
            ),
            (right, STC_BANDS, STC_CONTOUR + float(sound.STC), f"ASTM E413: STC {sound.stc_text}"),
        )
        for axes, bands, curve, name in cases:
            part = R[BANDS.index(float(bands[0])) : BANDS.index(float(bands[-1])) + 1]
            _frequency_axis(axes)
            u = np.array(sound.uncertainty.bands)
            axes.fill_between(BANDS, R - u, R + u, color=BLUE, alpha=0.12, lw=0)
            axes.fill_between(bands, part, np.maximum(part, curve), color=RED, alpha=0.22, lw=0)
            axes.plot(bands, curve, color=INK, lw=1.1, ls=(0, (5, 2)))
            axes.plot(BANDS, R, color=BLUE, marker="o", ms=3.2)
            axes.set_title(name)
            short = np.maximum(0.0, curve - part)
            worst = int(np.argmax(short))
            total = short.sum()
            axes.annotate(
                f"worst {short[worst]:.0f} dB below\nat {bands[worst]} Hz; sum {total:.0f} of 32",
                (bands[worst], part[worst]), (0.30, 0.10), textcoords="axes fraction", color=RED, fontsize=8,
                arrowprops={"arrowstyle": "-", "color": RED, "lw": 0.8},
            )  # fmt: skip
            axes.annotate(
                "contour", (bands[-3], curve[-3]), (0, 5), textcoords="offset points", ha="right", fontsize=8
            )
        left.set_ylabel("sound reduction R, dB")
        top = np.ceil((R + np.array(sound.uncertainty.bands)).max() / 10.0) * 10.0
        left.set_ylim(0.0, top)
    return figure


def contours_alt(sound: Sound) -> str:
    """Return in words what :func:`draw_contours` shows."""
    low = BANDS[int(np.argmin(sound.R[3:])) + 3]
    return (
        f"Sound reduction from 50 to 5000 Hz against two contours. Lowest above 100 Hz at {low:g} Hz with "
        f"{min(sound.R[3:]):.0f} dB. Rw {sound.Rw} ({sound.C}; {sound.Ctr}) by ISO 717-1, STC {sound.stc_text} by ASTM "
        "E413."
    )


def draw_curves(
    curves: Sequence[tuple[str, ArrayLike]],
    title: str,
    notes: Sequence[tuple[str, float, float, float, float]] = (),
    *,
    top: float = 70.0,
    width: int = 840,
    height: int = 380,
) -> Figure:
    """Draw several spectra with their names at their ends and the physics named beside them.

    Units: ``curves``, ``notes`` dB.
    """
    figure = new_figure(width, height)
    with look():
        axes = figure.subplots()
        figure.subplots_adjust(left=0.07, right=0.68, top=0.9, bottom=0.13)
        axes.set_title(title)
        _frequency_axis(axes)
        axes.set_ylim(0.0, top)
        for (_, R), (colour, line, marker) in zip(curves, STYLES, strict=False):
            axes.plot(BANDS, R, color=colour, ls=line, marker=marker, ms=3.0)
        ends = [float(np.asarray(R)[-1]) for _, R in curves]
        _label_ends(axes, BANDS[-1] * 1.06, ends, [n for n, _ in curves], [s[0] for s in STYLES])
        for text, x, y, tx, ty in notes:
            axes.annotate(
                text, (x, y), (tx, ty), color=INK, fontsize=8, va="center",
                arrowprops={"arrowstyle": "-", "color": SOFT, "lw": 0.8},
            )  # fmt: skip
        axes.set_ylabel("sound reduction R, dB")
    return figure


def curves_alt(curves: Sequence[tuple[str, ArrayLike]]) -> str:
    """Return in words what :func:`draw_curves` shows."""
    parts = []
    for name, R in curves:
        low = np.asarray(R)[3:]
        parts.append(
            f"{name}: least {low.min():.0f} dB at {BANDS[3 + int(np.argmin(low))]:g} Hz above 100 Hz"
        )
    return "Sound reduction by band. " + "; ".join(parts) + "."


def draw_sweep(
    centres: ArrayLike,
    lines: Sequence[tuple[str, ArrayLike]],
    title: str,
    down_to: Mapping[str, ArrayLike] | None = None,
    *,
    width: int = 760,
    height: int = 330,
) -> Figure:
    """Draw ratings against stud centres.

    Units: ``centres`` mm; ``lines`` dB.
    """
    x = np.asarray(centres, dtype=float)
    figure = new_figure(width, height)
    with look():
        axes = figure.subplots()
        figure.subplots_adjust(left=0.07, right=0.72, top=0.9, bottom=0.15)
        axes.set_title(title)
        for (name, y), (colour, line, _) in zip(lines, STYLES, strict=False):
            axes.plot(x, y, color=colour, ls=line, drawstyle="steps-mid")
            if down_to and name in down_to:
                axes.fill_between(x, down_to[name], y, step="mid", color=colour, alpha=0.16, lw=0)
        values = np.array([np.asarray(y, dtype=float) for _, y in lines])
        axes.set_ylim(values.min() - 2.0, values.max() + 2.0)
        axes.set_xlim(x[0], x[-1])
        _label_ends(axes, x[-1], values[:, -1].tolist(), [n for n, _ in lines], [s[0] for s in STYLES])
        axes.grid(axis="y")
        axes.set_xlabel("stud centres, mm")
        axes.set_ylabel("rating, dB")
        axes.yaxis.set_major_locator(MaxNLocator(integer=True))
    return figure


def draw_measured(scores: Sequence[Score], model: str = DEFAULT, *, width: int = 860) -> Figure:
    """Draw measured ratings against predicted ones, wall by wall, with the interval of what is not stated."""
    stated = of_model(model)
    doubt = {"Rw": stated.Rw, "STC": stated.STC}
    figure = new_figure(width, 84 + 30 * len(scores))
    with look():
        axes = figure.subplots()
        tall = 84.0 + 30.0 * len(scores)
        figure.subplots_adjust(left=0.43, right=0.97, top=1.0 - 34.0 / tall, bottom=46.0 / tall)
        axes.set_title(
            "Measured (diamond); predicted: dot at 406 mm, grey its uncertainty, bar from 400 to 610 mm",
            x=-0.72,
        )
        for y, s in enumerate(scores):
            axes.errorbar(s.at_usual, y, xerr=doubt[s.rating], color=GREY, lw=1.0, capsize=3)
            axes.plot([s.low, s.high], [y, y], color=BLUE, lw=6.0, alpha=0.3, solid_capstyle="butt")
            axes.plot([s.at_usual], [y], color=BLUE, marker="o", ms=6.5)
            axes.plot([s.measured], [y], color=ORANGE, marker=">" if s.row.at_least else "D", ms=6.5)
            axes.annotate(
                f"{s.error:+.0f}", (1.0, y), (-4, 0), xycoords=("axes fraction", "data"), textcoords="offset points",
                ha="right", va="center", fontsize=8, color=RED if abs(s.error) > 2 else INK,
            )  # fmt: skip
        axes.set_yticks(range(len(scores)), [score_name(s) for s in scores])
        axes.invert_yaxis()
        axes.set_xlabel("STC or Rw, dB    (right: error at the stated or usual spacing)")
        axes.grid(axis="x", color=FAINT)
    return figure


def score_name(score: Score) -> str:
    """Return a row's name for a chart: its construction and what was rated."""
    row = score.row
    fill = "empty" if row.fill is None else f"{row.fill.thickness:.0f} mm fill"
    limit = ">= " if row.at_least else ""
    return (
        f"{row.id}: {row.layers[0]}+{row.layers[1]} x {row.thickness:g} mm, {fill}: {score.rating} {limit}"
        f"{score.measured:g} ({row.status})"
    )


def measured_alt(scores: Sequence[Score]) -> str:
    """Return in words what :func:`draw_measured` shows."""
    said = [f"{score_name(s)}, predicted {s.at_usual:g} ({s.low:g} to {s.high:g})" for s in scores]
    return "Measured and predicted ratings. " + "; ".join(said) + "."


def draw_spectrum_check(row: Row, sound: Sound, *, width: int = 760, height: int = 380) -> Figure:
    """Draw a measured spectrum over the predicted one with its band of uncertainty."""
    figure = new_figure(width, height)
    R, u = np.array(sound.R), np.array(sound.uncertainty.bands)
    x = [f for f in row.bands if f in BANDS]
    y = [row.bands[f] for f in x]
    with look():
        axes = figure.subplots()
        figure.subplots_adjust(left=0.07, right=0.72, top=0.9, bottom=0.13)
        axes.set_title(f"{row.source.split('(')[0].strip()}: measured and predicted")
        _frequency_axis(axes)
        axes.set_ylim(0.0, 70.0)
        axes.fill_between(BANDS, R - u, R + u, color=BLUE, alpha=0.15, lw=0)
        axes.plot(BANDS, R, color=BLUE, marker="o", ms=3.2)
        axes.plot(x, y, color=ORANGE, marker="D", ms=4.0, ls=(0, (5, 1.6)))
        _label_ends(axes, BANDS[-1] * 1.06, [R[-1], y[-1]], ["predicted, ± uncertainty", "measured"],
                    [BLUE, ORANGE])  # fmt: skip
        axes.set_ylabel("sound reduction R, dB")
    return figure


def draw_door(
    ratings: ArrayLike,
    wholes: Sequence[tuple[str, ArrayLike]],
    bare: float,
    *,
    width: int = 760,
    height: int = 360,
) -> Figure:
    """Draw what a wall with a door reaches against the door's own rating.

    Units: ``ratings``, ``bare`` dB.
    """
    doors: NDArray[np.float64] = np.asarray(ratings, dtype=float)
    figure = new_figure(width, height)
    with look():
        axes = figure.subplots()
        figure.subplots_adjust(left=0.07, right=0.72, top=0.9, bottom=0.14)
        axes.set_title("A door caps the wall")
        axes.axhline(bare, color=GREY, lw=1.0, ls=(0, (5, 2)))
        axes.annotate(
            f"wall alone, Rw {bare:.0f}", (doors[0], bare), (0, 4), textcoords="offset points", fontsize=8
        )
        for (_, whole), (colour, line, _) in zip(wholes, STYLES, strict=False):
            axes.plot(doors, whole, color=colour, ls=line, drawstyle="steps-mid")
        axes.set_xlim(doors[0], doors[-1])
        axes.set_xticks(np.arange(np.ceil(doors[0] / 5.0) * 5.0, doors[-1] + 1e-9, 5.0))
        axes.set_ylim(min(float(np.min(w)) for _, w in wholes) - 2.0, bare + 4.0)
        _label_ends(axes, doors[-1], [float(np.asarray(w)[-1]) for _, w in wholes], [n for n, _ in wholes],
                    [s[0] for s in STYLES])  # fmt: skip
        axes.grid(axis="y")
        axes.set_xlabel("Rw of the door as fitted, dB")
        axes.set_ylabel("Rw of wall and door, dB")
        axes.yaxis.set_major_locator(MaxNLocator(integer=True))
    return figure
