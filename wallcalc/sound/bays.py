"""From a wall's stud positions to its bays, and from the bays' sound to the wall's."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wallcalc.sound import closed_form
from wallcalc.sound.leaf import sewell_field
from wallcalc.sound.periodic import Bay, bay_spectrum
from wallcalc.sound.records import EXACT_BANDS, Build
from wallcalc.sound.surrogate import COLUMNS, RANGES, Fitted, evaluate

CLOSED = 40.0
"""Clear width between studs, mm, up to which they count as one line (doubled studs, studs at a joint)."""


ALIKE = 0.1
"""Relative difference of width up to which bays move together."""
LEAST_AREA = RANGES["area"][0]
SPOKEN = {
    "spacing": ("bay", 1e3, "mm"), "mass_a": ("lining A", 1.0, "kg/m2"), "mass_b": ("lining B", 1.0, "kg/m2"),
    "depth": ("cavity", 1e3, "mm"), "flow_resistivity": ("fill", 1.0, "Pa s/m2"),
    "screw_spacing": ("screw spacing", 1e3, "mm"),
}  # fmt: skip
"""Quantities of a bay that are said to be out of range: name, factor to the unit shown, unit."""
WHOLE = np.ones(len(EXACT_BANDS))


class Share(NamedTuple):
    """One bay of a wall.

    ``length`` is its share of the wall's length (mm), ``bay`` the bay as the periodic model takes it, ``area`` the
    area that moves together with it (m2): that of all bays of like width.
    """

    length: float
    bay: Bay
    area: float

    def factor(self) -> NDArray[np.float64]:
        """Return what is left of the bay's transmission when fewer bays than the model knows move together."""
        if self.area >= LEAST_AREA:
            return WHOLE
        return sewell_field(EXACT_BANDS, min(self.area, LEAST_AREA)) / sewell_field(EXACT_BANDS, LEAST_AREA)


@lru_cache(maxsize=1024)
def bays_of(build: Build) -> tuple[Share, ...]:
    """Return the wall's bays, left to right.

    Each bay is taken as one of a row of its own width, as large as all bays of like width together: its clear
    width, the mean number of studs at its two sides. Studs less than :data:`CLOSED` apart make one line.

    Parameters
    ----------
    build : Build
        The wall.

    Returns
    -------
    tuple of Share
        Bays with their share of the wall's length.

    Raises
    ------
    ValueError
        When no bay is open, or none lies outside the openings.
    """
    lines: list[list[float]] = [[build.stud_x[0]]]
    for left, right in itertools.pairwise(build.stud_x):
        if right - left - build.stud_width <= CLOSED:
            lines[-1].append(right)
        else:
            lines.append([right])
    if len(lines) < 2:
        raise ValueError(f"Build.stud_x: found no bay wider than {CLOSED:g} mm; give studs further apart")
    centres = [0.5 * (line[0] + line[-1]) for line in lines]
    widths = [two[0] - one[-1] for one, two in itertools.pairwise(lines)]
    lengths = [two - one for one, two in itertools.pairwise(centres)]
    shares = []
    for width, length, (one, two) in zip(widths, lengths, itertools.pairwise(lines), strict=True):
        middle = 0.5 * (one[-1] + two[0])
        if any(left <= middle <= right for left, right in build.openings):
            continue
        alike = sum(n for w, n in zip(widths, lengths, strict=True) if abs(w / width - 1.0) <= ALIKE)
        area = alike * build.height * 1e-6
        studs = min(RANGES["lines"][1], 0.5 * (len(one) + len(two)))
        bay = Bay(
            build.leaf_a, build.leaf_b, width * 1e-3, build.depth * 1e-3, build.fill, build.screw_spacing * 1e-3,
            build.stud_width * 1e-3, studs, max(area, LEAST_AREA),
        )  # fmt: skip
        shares.append(Share(length, bay, area))
    if not shares:
        raise ValueError("Build.openings: found no bay outside the openings; give at least one")
    return tuple(shares)


def mean_bay(build: Build) -> float:
    """Return the wall's mean bay, stud centre to stud centre, weighted by length, m."""
    shares = bays_of(build)
    return sum(s.length * s.bay.spacing for s in shares) / sum(s.length for s in shares)


def row_of(bay: Bay) -> list[float]:
    """Return the bay's row for the fitted function.

    Parameters
    ----------
    bay : Bay
        The bay.

    Returns
    -------
    list of float
        Columns of :data:`wallcalc.sound.surrogate.COLUMNS`.
    """
    f = bay.fill
    return [
        bay.spacing, bay.leaf_a.mass, bay.leaf_a.critical_frequency, bay.leaf_b.mass, bay.leaf_b.critical_frequency,
        bay.depth, min(f.thickness * 1e-3, bay.depth) if f else 0.0, f.density if f else 0.0,
        f.flow_resistivity if f else 0.0, bay.screw_spacing, bay.lines, bay.area,
    ]  # fmt: skip


def fitted_spectra(builds: Sequence[Build], fitted: Fitted) -> NDArray[np.float64]:
    """Return the sound reduction index of many walls by the fitted function.

    Parameters
    ----------
    builds : sequence of Build
        The walls.
    fitted : Fitted
        The function.

    Returns
    -------
    numpy.ndarray
        R, dB, shape (walls, 21): the energy mean over each wall's bays by length.
    """
    walls = [bays_of(b) for b in builds]
    rows = np.array([row_of(s.bay) for wall in walls for s in wall])
    different, back = np.unique(rows, axis=0, return_inverse=True)
    tau = (10.0 ** (-0.1 * evaluate(fitted, different)))[back.ravel()]
    tau *= np.array([s.factor() for wall in walls for s in wall])
    lengths = np.array([s.length for wall in walls for s in wall])
    starts = np.cumsum([0, *(len(wall) for wall in walls[:-1])])
    total = np.add.reduceat(lengths, starts)
    mean = np.add.reduceat(tau * lengths[:, None], starts, axis=0) / total[:, None]
    return -10.0 * np.log10(mean)


@lru_cache(maxsize=512)
def _direct(bay: Bay, points: int) -> NDArray[np.float64]:
    return bay_spectrum(bay, points)


def direct_spectrum(build: Build, points: int) -> NDArray[np.float64]:
    """Return the sound reduction index of one wall, every bay computed by the periodic model.

    Parameters
    ----------
    build : Build
        The wall.
    points : int
        Points of the average in each band.

    Returns
    -------
    numpy.ndarray
        R, dB, 21 bands.
    """
    shares = bays_of(build)
    total = sum(s.length for s in shares)
    tau = sum(
        s.length * s.factor() * _direct(s.bay._replace(spacing=round(s.bay.spacing, 3)), points)
        for s in shares
    )
    return np.maximum(0.0, -10.0 * np.log10(tau / total))


def outside(build: Build, model: str = "periodic") -> tuple[str, ...]:
    """Return what of a wall lies outside the range a model is stated for, in words.

    Parameters
    ----------
    build : Build
        The wall.
    model : str
        One of :data:`wallcalc.sound.MODELS`.

    Returns
    -------
    tuple of str
        One sentence a quantity; empty when all is inside.
    """
    ranges = closed_form.RANGES if model == "closed form" else RANGES
    then = "computed at the nearest value" if model == "periodic" else "the model is not stated for it"
    rows = np.array([row_of(s.bay) for s in bays_of(build)])
    said = []
    for column, (name, factor, unit) in SPOKEN.items():
        if column not in ranges or (column == "flow_resistivity" and build.fill is None):
            continue
        low, high = ranges[column]
        values = rows[:, COLUMNS.index(column)]
        odd = values[(values < low * 0.999) | (values > high * 1.001)]
        if len(odd):
            said.append(
                f"{name} of {odd[0] * factor:g} {unit} lies outside {low * factor:g} to {high * factor:g} {unit}: "
                f"{then}"
            )
    return tuple(said)
