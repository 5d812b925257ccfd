"""The periodic model's answers, fitted: what the default model evaluates.

A small smooth function of the bay and the band (three hidden layers) fitted to thousands of bays computed by
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
from wallcalc.sound import gap, periodic
from wallcalc.sound.gap import FRAME_MODULUS, FULL
from wallcalc.sound.leaf import AIR_DENSITY, SOUND_SPEED
from wallcalc.sound.records import EXACT_BANDS

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
    """The fitted function: centre and scale of features and of R, weights of the layers, its error per band, dB."""

    centre: NDArray[np.float64]
    scale: NDArray[np.float64]
    layers: tuple[tuple[NDArray[np.float64], NDArray[np.float64]], ...]
    answer: tuple[float, float]
    error: NDArray[np.float64]


def features(rows: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return what the fitted function reads of each bay in each band.

    Logarithms of sizes and of the band over the physics' own frequencies (mass-air-mass resonance, clear bay of
    board, both together, coincidence), and phases of bending waves across the bay.

    Parameters
    ----------
    rows : numpy.ndarray
        Bays, columns as in :data:`COLUMNS`.

    Returns
    -------
    numpy.ndarray
        Features, shape (bays, 21, count); the same with the sides swapped.
    """
    rows = np.atleast_2d(np.asarray(rows, dtype=float))
    swap = (rows[:, 1] < rows[:, 3]) | ((rows[:, 1] == rows[:, 3]) & (rows[:, 2] < rows[:, 4]))
    rows = np.where(swap[:, None], rows[:, [0, 3, 4, 1, 2, *range(5, 12)]], rows)
    b, ma, fa, mb, fb, d, t, density, sigma, s, lines, area = (column[:, None] for column in rows.T)
    f = np.array(EXACT_BANDS)
    k = 2.0 * np.pi * f / SOUND_SPEED
    filled = t > 0.0
    share = np.minimum(t / d, 1.0)
    full = 1.0 * (share >= FULL)
    frame = full * FRAME_MODULUS * density
    fibre = full * density * np.sqrt(FRAME_MODULUS) / (2.0 * np.pi * f)
    across = 2.0 * np.pi * f * d / np.sqrt(FRAME_MODULUS)
    spring = AIR_DENSITY * SOUND_SPEED**2 * (1.0 - share * (1.0 - 1.0 / 1.35)) + frame
    resonance = np.sqrt(spring / d * (1.0 / ma + 1.0 / mb)) / (2.0 * np.pi)
    strip = [3.56 * SOUND_SPEED**2 / (2.0 * np.pi * fc) / b**2 for fc in (fa, fb)]
    both = [np.hypot(resonance, one) for one in strip]
    bending = [k * np.sqrt(fc / f) for fc in (fa, fb)]
    clear = b - 0.038
    resistance = np.where(filled, np.log1p(sigma * np.minimum(t, d) / 400.0), 0.0)
    found = [
        np.log(f), np.log(b), np.log(ma), np.log(mb), np.log(fa), np.log(fb), np.log(d), filled * 1.0, share,
        resistance, frame / 5e4, np.log(s), lines, np.log(area), np.log(f / resonance),
        *(np.log(f / x) for x in (*both, fa, fb, *strip)),
        np.minimum(k * clear / np.pi, 4.0), k * d, np.minimum(bending[0] * s / np.pi, 4.0),
        *(wave(q * width) for q in bending for width in (b, clear) for wave in (np.cos, np.sin)),
        np.log1p(100.0 * fibre / ma), np.log1p(100.0 * fibre / mb), full * np.cos(across), full * np.sin(across),
        *(np.exp(-((np.log(f / fc) / 0.15) ** 2)) for fc in (fa, fb)),
        *(np.exp(-((np.log(f / x) / 0.2) ** 2)) for x in both),
    ]  # fmt: skip
    return np.stack(np.broadcast_arrays(*found), axis=-1)


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
    x = (features(np.clip(rows, low, high)) - fitted.centre) / fitted.scale
    for i, (weight, bias) in enumerate(fitted.layers):
        x = x @ weight + bias
        if i + 1 < len(fitted.layers):
            x = np.tanh(x)
    return np.maximum(0.0, x[..., 0] * fitted.answer[1] + fitted.answer[0])


def constants() -> dict[str, float | list[float]]:
    """Return the physics' constants that the fitted bays were computed with; a test compares them with the table's."""
    return {
        "air density": AIR_DENSITY,
        "sound speed": SOUND_SPEED,
        "board loss": periodic.BOARD_LOSS,
        "hfc spread": list(periodic.HFC_SPREAD),
        "screw head": periodic.SCREW_HEAD,
        "stud": [periodic.STUD_DENSITY, periodic.STUD_E, periodic.STUD_G, periodic.STUD_LOSS],
        "empty loss": gap.EMPTY_LOSS,
        "frame": [gap.FRAME_MODULUS, gap.FRAME_LOSS, *periodic.FRAME_SPREAD, gap.FULL],
    }


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
            "constants": constants(),
            "columns": COLUMNS,
            "ranges": RANGES,
            **{n: tidy(getattr(fitted, n)) for n in ("centre", "scale", "answer", "error")},
            "layers": [[tidy(w), tidy(v)] for w, v in fitted.layers],
        },
        separators=(",", ":"),
    )


def unpack(text: str) -> Fitted:
    """Return the function that :func:`pack` wrote."""
    raw = json.loads(text)
    layers = tuple((np.array(w), np.array(v)) for w, v in raw["layers"])
    return Fitted(
        np.array(raw["centre"]), np.array(raw["scale"]), layers, tuple(raw["answer"]), np.array(raw["error"])
    )


@lru_cache(maxsize=1)
def shipped() -> Fitted:
    """Return the function shipped in the data folder."""
    return unpack((data_folder() / TABLE).read_text("utf-8"))
