"""The walls and sweeps that the sound notebook shows; plain functions, no drawing."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from wallcalc.sound.gap import FRAME_MODULUS, FULL
from wallcalc.sound.leaf import AIR_DENSITY, SOUND_SPEED, plate
from wallcalc.sound.prediction import DEFAULT, predict, spectra
from wallcalc.sound.records import BANDS, Absorber, Build, Leaf, Sound

BOARD = Leaf(8.4, 12.5)
"""Ordinary 12.5 mm board, 8.4 kg/m2 (demo value)."""
LENGTH, HEIGHT, STUD = 3840.0, 2620.0, 38.0
"""The demo wall, mm."""
WOOL = (15.0, 8000.0)
"""Density (kg/m3) and flow resistivity (Pa s/m2) of a light mineral wool (demo value)."""
DOOR_AREA = 0.842 * 2.03
"""Structural opening of the demo wall's door, m2."""

Curves = list[tuple[str, NDArray[np.float64]]]


def wool(thickness: float) -> Absorber | None:
    """Return a slab of light mineral wool, None for 0 mm."""
    return Absorber(thickness, *WOOL) if thickness > 0.0 else None


def wall(
    centres: float, *, fill: float = 0.0, layers: int = 1, depth: float = 89.0, board: Leaf = BOARD
) -> Build:
    """Return the demo wall at stud centres (mm), set out from the left, with wool of a thickness (mm).

    Parameters
    ----------
    centres : float
        Stud centres, mm.
    fill : float
        Thickness of wool, mm.
    layers : int
        Layers of board a side.
    depth : float
        Stud depth, mm.
    board : Leaf
        One layer of board.

    Returns
    -------
    Build
    """
    leaf = Leaf(board.surface_mass, board.thickness, layers, board.hfc)
    inner = np.arange(centres, LENGTH - STUD - 75.0, centres)
    studs = (0.5 * STUD, *inner.tolist(), LENGTH - 0.5 * STUD)
    return Build(leaf, leaf, depth, STUD, studs, LENGTH, HEIGHT, wool(fill))


def curves(named: Sequence[tuple[str, Build]], model: str = DEFAULT) -> Curves:
    """Return the spectra of several walls with their names.

    Parameters
    ----------
    named : sequence of (str, Build)
        Name and wall.
    model : str
        One of :data:`wallcalc.sound.MODELS`.

    Returns
    -------
    list of (str, numpy.ndarray)
        Each name carries Rw and STC as it should be read.
    """
    found = []
    for name, build in named:
        sound = predict(build, model)
        found.append((f"{name}: Rw {sound.Rw}, STC {sound.stc_text}", np.array(sound.R)))
    return found


def cavity_resonance(build: Build) -> float:
    """Return the frequency at which both linings bounce on the cavity as on a spring, Hz.

    Parameters
    ----------
    build : Build
        The wall.

    Returns
    -------
    float
        Mass-air-mass resonance; a fill makes the air softer and, where it touches both linings, adds its fibres.
    """
    share = min(1.0, build.fill.thickness / build.depth) if build.fill else 0.0
    spring = AIR_DENSITY * SOUND_SPEED**2 * (1.0 - share * (1.0 - 1.0 / 1.35))
    if build.fill and share >= FULL:
        spring += FRAME_MODULUS * build.fill.density
    inverse = 1.0 / build.leaf_a.mass + 1.0 / build.leaf_b.mass
    return float(np.sqrt(spring / (build.depth * 1e-3) * inverse) / (2.0 * np.pi))


def bay_resonance(leaf: Leaf, centres: float) -> float:
    """Return the lowest frequency of a bay of board held fast at two studs, Hz.

    Parameters
    ----------
    leaf : Leaf
        The lining.
    centres : float
        Stud centres, mm.

    Returns
    -------
    float
        Clamped strip: ``3.56 sqrt(B / m) / b**2``.
    """
    p = plate(leaf)
    return float(3.56 * np.sqrt(p.stiffness / p.mass) / (centres * 1e-3) ** 2)


def dip(R: Sequence[float] | NDArray[np.float64]) -> tuple[float, float]:
    """Return frequency (Hz) and R (dB) of the lowest band below 400 Hz."""
    values = np.asarray(R)[: BANDS.index(400.0)]
    at = int(np.argmin(values))
    return BANDS[at], float(values[at])


def spacing_sweep(fill: float = 0.0, step: float = 10.0) -> tuple[NDArray[np.float64], list[Sound]]:
    """Return stud centres from 300 to 600 mm and the prediction for whole bays at each.

    Parameters
    ----------
    fill : float
        Thickness of wool, mm.
    step : float
        Step of the sweep, mm.

    Returns
    -------
    numpy.ndarray, list of Sound
    """
    centres = np.arange(300.0, 600.0 + step / 2, step)
    return centres, [predict(whole_bays(c, fill)) for c in centres]


def whole_bays(centres: float, fill: float) -> Build:
    """Return the demo wall as long as a whole number of bays comes nearest to it.

    Parameters
    ----------
    centres : float
        Stud centres, mm.
    fill : float
        Thickness of wool, mm.

    Returns
    -------
    Build
    """
    studs = tuple((0.5 * STUD + centres * np.arange(round(LENGTH / centres) + 1)).tolist())
    return Build(BOARD, BOARD, 89.0, STUD, studs, studs[-1] + 0.5 * STUD, HEIGHT, wool(fill))


def gains() -> list[dict[str, float | str]]:
    """Return what one change gains, as rows: Rw and STC before and after, whole bays.

    Returns
    -------
    list of dict
        ``change, Rw, to_Rw, STC, to_STC, STC_low, to_STC_low``; the last two as published guidance would credit.
    """
    rows: list[dict[str, float | str]] = []

    def add(change: str, one: Build, two: Build) -> None:
        a, b = predict(one), predict(two)
        row = {"change": change, "Rw": a.Rw, "to_Rw": b.Rw, "STC": a.STC, "to_STC": b.STC}
        rows.append(row | {"STC_low": a.STC_low, "to_STC_low": b.STC_low})

    for fill, name in ((0.0, "empty"), (50.0, "50 mm wool"), (89.0, "full of wool")):
        add(f"centres 400 to 600 mm, {name}", whole_bays(400.0, fill), whole_bays(600.0, fill))
    for centres, fill in itertools.product((400.0, 600.0), (50.0, 89.0)):
        add(f"{fill:g} mm wool at {centres:g} mm", whole_bays(centres, 0.0), whole_bays(centres, fill))
    return rows


def with_doors(build: Build, ratings: Sequence[float], area: float = DOOR_AREA) -> NDArray[np.float64]:
    """Return the Rw of wall and door for each door rating, dB.

    Parameters
    ----------
    build : Build
        The wall.
    ratings : sequence of float
        Rw of the door, dB.
    area : float
        Area of the door's opening, m2.

    Returns
    -------
    numpy.ndarray
        Rw of the whole.
    """
    found = [predict(build, doors=((area, float(r)),)).with_door for r in ratings]
    return np.array([w.Rw for w in found if w is not None], dtype=float)


__all__ = [
    "BOARD", "DOOR_AREA", "bay_resonance", "cavity_resonance", "curves", "dip", "gains", "spacing_sweep", "spectra",
    "wall", "with_doors", "wool",
]  # fmt: skip
