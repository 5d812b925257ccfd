"""The periodic model's answers, fitted: what the default model evaluates.

A small smooth function (two hidden layers) fitted to several thousand bays computed by
:mod:`wallcalc.sound.periodic`; :mod:`wallcalc.sound.make_table` computes the bays and fits it. Sides are put in
one order first, so swapping them gives the same result exactly.
"""

from __future__ import annotations

import json
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wallcalc.shipped import data_folder
from wallcalc.sound.gap import FRAME_MODULUS, FULL
from wallcalc.sound.leaf import AIR_DENSITY, SOUND_SPEED

TABLE = "sound_table.json"
COLUMNS = (
    "spacing", "mass_a", "critical_a", "mass_b", "critical_b", "depth", "fill_thickness", "fill_density",
    "flow_resistivity", "screw_spacing", "lines", "area",
)  # fmt: skip
"""What a row of bays holds: m, kg/m2, Hz, kg/m2, Hz, m, m (0: empty), kg/m3, Pa s/m2, m, studs a line, m2."""
RANGES = {
    "spacing": (0.13, 0.85), "mass_a": (5.5, 30.0), "critical_a": (2297.0, 4211.0), "mass_b": (5.5, 30.0),
    "critical_b": (2297.0, 4211.0), "depth": (0.038, 0.150), "fill_thickness": (0.0, 0.150),
    "fill_density": (8.0, 60.0), "flow_resistivity": (3000.0, 40000.0), "screw_spacing": (0.15, 0.5),
    "lines": (1.0, 2.0), "area": (2.0, 30.0),
}  # fmt: skip
"""Range over which the function was fitted; values outside are moved to its edge."""


class Fitted(NamedTuple):
    """The fitted function: centre and scale of features and answers, weights of the layers, and its errors."""

    centre: NDArray[np.float64]
    scale: NDArray[np.float64]
    layers: tuple[tuple[NDArray[np.float64], NDArray[np.float64]], ...]
    answer_centre: NDArray[np.float64]
    answer_scale: NDArray[np.float64]
    error: NDArray[np.float64]


def features(rows: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return what the fitted function reads of each bay: logarithms of sizes and of the physics' frequencies.

    Parameters
    ----------
    rows : numpy.ndarray
        Bays, columns as in :data:`COLUMNS`.

    Returns
    -------
    numpy.ndarray
        Features, one row a bay; the same with the sides swapped.
    """
    rows = np.atleast_2d(np.asarray(rows, dtype=float))
    swap = (rows[:, 1] < rows[:, 3]) | ((rows[:, 1] == rows[:, 3]) & (rows[:, 2] < rows[:, 4]))
    rows = np.where(swap[:, None], rows[:, [0, 3, 4, 1, 2, *range(5, 12)]], rows)
    b, ma, fa, mb, fb, d, t, density, sigma, s, lines, area = rows.T
    filled = t > 0.0
    share = np.minimum(t / d, 1.0)
    frame = np.where(share >= FULL, FRAME_MODULUS * density, 0.0)
    air = AIR_DENSITY * SOUND_SPEED**2
    spring = air * (1.0 - share * (1.0 - 1.0 / 1.35)) + frame
    resonance = np.sqrt(spring / d * (1.0 / ma + 1.0 / mb)) / (2.0 * np.pi)
    clamped = [3.56 * SOUND_SPEED**2 / (2.0 * np.pi * f) / b**2 for f in (fa, fb)]
    joint = [np.log(np.hypot(resonance, c)) for c in clamped]
    resistance = np.where(filled, np.log1p(sigma * np.minimum(t, d) / 400.0), 0.0)
    return np.column_stack(
        [
            np.log(b), np.log(ma), np.log(fa), np.log(mb), np.log(fb), np.log(d), filled * 1.0, share, resistance,
            frame / 5e4, np.log(s), lines, np.log(area), np.log(resonance), *joint,
        ]
    )  # fmt: skip


def evaluate(fitted: Fitted, rows: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return the sound reduction index of bays by the fitted function.

    Parameters
    ----------
    fitted : Fitted
        The function.
    rows : numpy.ndarray
        Bays, columns as in :data:`COLUMNS`; moved to the edge of :data:`RANGES` where outside.

    Returns
    -------
    numpy.ndarray
        R, dB, shape (bays, 21), not below 0.
    """
    low, high = np.array([RANGES[c] for c in COLUMNS]).T
    filled = np.asarray(rows, dtype=float)[:, 6] > 0.0
    inside = np.clip(rows, low, high)
    x = (
        features(np.where(filled[:, None] | (np.arange(12) != 6), inside, 0.0)) - fitted.centre
    ) / fitted.scale
    for i, (weight, bias) in enumerate(fitted.layers):
        x = x @ weight + bias
        if i + 1 < len(fitted.layers):
            x = np.tanh(x)
    return np.maximum(0.0, x * fitted.answer_scale + fitted.answer_centre)


def pack(fitted: Fitted) -> str:
    """Return the function as JSON text, five digits a weight."""

    def tidy(values: NDArray[np.float64]) -> list:
        return json.loads(
            json.dumps(np.asarray(values).tolist()), parse_float=lambda v: float(f"{float(v):.5g}")
        )

    return json.dumps(
        {
            "what": "Fit to the periodic model, made by wallcalc/sound/make_table.py",
            "status": "computed",
            "columns": COLUMNS,
            "ranges": RANGES,
            **{
                n: tidy(getattr(fitted, n))
                for n in ("centre", "scale", "answer_centre", "answer_scale", "error")
            },
            "layers": [[tidy(w), tidy(v)] for w, v in fitted.layers],
        },
        separators=(",", ":"),
    )


def unpack(text: str) -> Fitted:
    """Return the function that :func:`pack` wrote."""
    raw = json.loads(text)
    array = {n: np.array(raw[n]) for n in ("centre", "scale", "answer_centre", "answer_scale", "error")}
    return Fitted(
        array["centre"], array["scale"], tuple((np.array(w), np.array(v)) for w, v in raw["layers"]),
        array["answer_centre"], array["answer_scale"], array["error"],
    )  # fmt: skip


@lru_cache(maxsize=1)
def shipped() -> Fitted:
    """Return the function shipped in the data folder."""
    return unpack((data_folder() / TABLE).read_text("utf-8"))
