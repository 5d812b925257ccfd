"""Measured walls, and how far a model is from each.

``data/measured_sound.csv`` holds every row with its source and status. What a row does not state is not chosen to
please: stud spacing is swept from 400 to 610 mm and the interval reported, and the rest takes the one value below.
"""

from __future__ import annotations

import csv
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wallcalc.shipped import data_folder
from wallcalc.sound.prediction import DEFAULT, spectra
from wallcalc.sound.ratings import ISO_BANDS, rw, stc
from wallcalc.sound.records import BANDS, Absorber, Build, Leaf

FILE = "measured_sound.csv"
BOARD_DENSITY = 670.0
"""Density of plasterboard where a row gives no mass, kg/m3 (8.5 kg/m2 at 12.7 mm)."""
FILLS = {"cellulose": (50.0, 10000.0), "wool": (15.0, 8000.0)}
"""Density (kg/m3) and flow resistivity (Pa s/m2) assumed for the fills that the rows name."""
SPACINGS = (400.0, 406.4, 450.0, 500.0, 550.0, 600.0, 609.6)
"""Stud spacings swept where a row states none, mm."""
USUAL = 406.4
"""Spacing at which an unstated row is also scored, mm."""
DESIGN_MARGIN = 2.0
"""What a design value stands below the laboratory value, dB (DIN 4109 supplement of 1989, from memory)."""
LENGTH, HEIGHT = 3050.0, 2440.0
"""Size of a laboratory's wall, mm (order of magnitude: the result hardly depends on it); whole bays are taken."""


class Row(NamedTuple):
    """A measured wall: identity, what was stated, what was measured (None: not stated)."""

    id: str
    source: str
    status: str
    depth: float
    spacings: tuple[float, ...]
    layers: tuple[int, int]
    thickness: float
    mass: float
    fill: Absorber | None
    stc: float | None
    rw: float | None
    at_least: bool
    bands: dict[float, float]

    def build(self, spacing: float) -> Build:
        """Return the wall at a stud spacing (mm)."""
        one, two = (Leaf(self.mass, self.thickness, n) for n in self.layers)
        studs = 19.0 + spacing * np.arange(round(LENGTH / spacing) + 1)
        return Build(one, two, self.depth, 38.0, tuple(studs.tolist()), studs[-1] + 19.0, HEIGHT, self.fill)


class Score(NamedTuple):
    """One row against a model: the measurement, the prediction at the stated or usual spacing and over the sweep."""

    row: Row
    rating: str
    measured: float
    at_usual: float
    low: float
    high: float
    swept: bool

    @property
    def error(self) -> float:
        """Prediction less measurement, dB; for a 'not less than' row only what is missing."""
        gap = self.at_usual - self.measured
        return min(0.0, gap) if self.row.at_least else gap

    @property
    def outside(self) -> float:
        """How far the measurement lies outside the swept interval, dB (0: inside)."""
        if self.row.at_least:
            return min(0.0, self.high - self.measured)
        return min(0.0, self.high - self.measured) + max(0.0, self.low - self.measured)


def rows(path: str | Path | None = None) -> tuple[Row, ...]:
    """Return the measured walls whose construction is stated well enough to predict.

    Parameters
    ----------
    path : path-like or None
        A file like ``data/measured_sound.csv``; None: the shipped one.

    Returns
    -------
    tuple of Row
        In the file's order; rows without layers, board or rating, or with ranges, are left out.
    """
    file = data_folder() / FILE if path is None else Path(path)
    with file.open(encoding="utf-8", newline="") as stream:
        raw = list(csv.DictReader(stream))
    return tuple(row for row in map(_row, raw) if row is not None)


def _row(raw: dict[str, str]) -> Row | None:
    stated_stc = float(raw["STC"]) if raw["STC"].isdigit() else None
    text = raw["Rw"].split(" ")[0]
    stated_rw = float(text.lstrip(">=")) if text.lstrip(">=").replace(".", "").isdigit() else None
    bands = {float(k[3:]): float(v) for k, v in raw.items() if k.startswith("TL_") and v}
    if stated_rw is None and all(float(f) in bands for f in ISO_BANDS):
        stated_rw = float(rw([bands[float(f)] for f in ISO_BANDS]))
    if not raw["layers_side1"] or not raw["board_mm"] or (stated_stc is None and stated_rw is None):
        return None
    span = [float(v) for v in raw["board_mm"].split("-")]
    thickness = {13.0: 12.7}.get(span[0], span[0])
    mass = float(raw["board_kgm2"]) if raw["board_kgm2"] else BOARD_DENSITY * thickness * 1e-3
    depth = 60.0 if raw["stud_mm"].startswith("60") else 89.0
    fill = None
    if raw["insulation_mm"] and float(raw["insulation_mm"]) > 0:
        kind = "cellulose" if "cellulose" in raw["insulation_type"] else "wool"
        density, sigma = FILLS[kind]
        thick = min(depth, float(raw["insulation_mm"]))
        fill = Absorber(thick, density, sigma)
    spacing = raw["stud_spacing_mm"]
    spacings = (USUAL,) if spacing == "406" else (600.0,) if spacing.startswith(">=") else SPACINGS
    if "design" in raw["Rw"]:
        stated_rw += DESIGN_MARGIN
    return Row(
        raw["id"], raw["source"], raw["status"], depth, spacings,
        (int(raw["layers_side1"]), int(raw["layers_side2"])), thickness, mass, fill, stated_stc, stated_rw,
        raw["Rw"].startswith(">="), bands,
    )  # fmt: skip


def predicted(row: Row, spacing: float, model: str = DEFAULT) -> NDArray[np.float64]:
    """Return the predicted spectrum of a measured wall, 21 bands 50-5000 Hz, dB.

    Parameters
    ----------
    row : Row
        The measured wall.
    spacing : float
        Stud spacing, mm.
    model : str
        One of :data:`wallcalc.sound.MODELS`.

    Returns
    -------
    numpy.ndarray
        R, dB.
    """
    return spectra([row.build(spacing)], model)[0]


def scores(model: str = DEFAULT, status: str | None = "seen") -> tuple[Score, ...]:
    """Return how a model does on every measured row.

    Parameters
    ----------
    model : str
        One of :data:`wallcalc.sound.MODELS`.
    status : str or None
        Only rows of this status; None: all.

    Returns
    -------
    tuple of Score
        One for each rating that a row states.
    """
    found = []
    for row in rows():
        if status is not None and row.status != status:
            continue
        many = spectra([row.build(s) for s in row.spacings], model)
        usual = row.spacings.index(USUAL) if USUAL in row.spacings else 0
        ratings: list[tuple[str, float | None, Callable[..., NDArray]]] = [
            ("STC", row.stc, stc),
            ("Rw", row.rw, rw),
        ]
        for name, value, rate in ratings:
            if value is not None:
                got = np.asarray(rate(many), dtype=float)
                found.append(Score(row, name, value, got[usual], got.min(), got.max(), len(row.spacings) > 1))
    return tuple(found)


def band_errors(
    row: Row, model: str = DEFAULT, low: float = 100.0, high: float = 4000.0
) -> NDArray[np.float64]:
    """Return prediction less measurement in each measured band, dB.

    Parameters
    ----------
    row : Row
        A row with a spectrum.
    model : str
        One of :data:`wallcalc.sound.MODELS`.
    low, high : float
        Range of bands, Hz.

    Returns
    -------
    numpy.ndarray
        Differences, in the order of the bands.
    """
    R = predicted(row, USUAL, model)
    return np.array([R[BANDS.index(f)] - v for f, v in row.bands.items() if low <= f <= high and f in BANDS])
