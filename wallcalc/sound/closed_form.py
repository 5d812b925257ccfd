"""A double leaf in closed form: fast enough to sweep tens of thousands of walls.

The air path is Davy's forced transmission through two leaves and an absorbing cavity, the stud path a rigid
line bridge; their energies add. It knows nothing of the bay's resonance between two studs, which is what
makes the dip near 125 Hz: use the default model for decisions, this one for large sweeps.

Valid for 50-5000 Hz, leaves of 5-30 kg/m2 a side, cavities of 40-200 mm, studs 200-800 mm apart.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wallcalc.sound.bridging import line_bridge
from wallcalc.sound.leaf import AIR_DENSITY, SOUND_SPEED, forced_gain, limiting_cosine2, mass_law
from wallcalc.sound.records import EXACT_BANDS, Build

INTERNAL_LOSS = 0.03
"""Loss factor of plasterboard screwed to studs, without radiation (Davy 2010: 0.03 in place)."""
EMPTY_ABSORPTION = 0.1
"""Absorption coefficient of a cavity without fill (Davy 1990, from memory)."""
FILLED_RESISTANCE = 500.0
"""Flow resistance of a slab, Pa s/m, from which the cavity counts as fully absorbing (about 1.2 rho c)."""
RANGES = {"spacing": (0.2, 0.8), "mass_a": (5.0, 30.0), "mass_b": (5.0, 30.0), "depth": (0.04, 0.2)}
"""Range the closed form is stated for: m, kg/m2, kg/m2, m."""


class Inputs(NamedTuple):
    """Arrays of one length: what the closed form reads of each wall (SI units)."""

    mass_a: NDArray[np.float64]
    critical_a: NDArray[np.float64]
    mass_b: NDArray[np.float64]
    critical_b: NDArray[np.float64]
    depth: NDArray[np.float64]
    absorption: NDArray[np.float64]
    spacing: NDArray[np.float64]
    area: NDArray[np.float64]


def inputs(builds: Sequence[Build]) -> Inputs:
    """Return the closed form's inputs of many walls.

    Parameters
    ----------
    builds : sequence of Build
        The walls.

    Returns
    -------
    Inputs
        Arrays as long as ``builds``; spacing in m is wall length over number of separate stud lines less one
        (studs that touch act as one line).
    """
    rows = []
    for b in builds:
        xs = b.stud_x
        lines = 1 + sum(1 for u, v in itertools.pairwise(xs) if v - u > 1.5 * b.stud_width)
        spacing = (xs[-1] - xs[0]) / max(1, lines - 1) * 1e-3
        alpha = EMPTY_ABSORPTION
        if b.fill is not None:
            resistance = b.fill.flow_resistivity * min(b.fill.thickness, b.depth) * 1e-3
            alpha += (1.0 - alpha) * min(1.0, resistance / FILLED_RESISTANCE)
        rows.append(
            (
                b.leaf_a.mass, b.leaf_a.critical_frequency, b.leaf_b.mass, b.leaf_b.critical_frequency,
                b.depth * 1e-3, alpha, spacing, b.area,
            )
        )  # fmt: skip
    return Inputs(*np.array(rows, dtype=float).T)


def spectra(given: Inputs, frequency: ArrayLike = EXACT_BANDS) -> NDArray[np.float64]:
    """Return the sound reduction index of many walls at once.

    Parameters
    ----------
    given : Inputs
        Arrays of n walls.
    frequency : array_like
        Band centres, Hz.

    Returns
    -------
    numpy.ndarray
        R, dB, shape (n, bands), not below 0.

    References
    ----------
    Davy, J. Sound Vib. 1990 and JASA 127, 2010, 841-849, as printed in Bies & Hansen, Engineering Noise
    Control (from memory).
    """
    f = np.asarray(frequency, dtype=float)[None, :]
    ma, fa, mb, fb, depth, alpha, spacing, area = (np.asarray(v, float)[:, None] for v in given)
    rho_c = AIR_DENSITY * SOUND_SPEED
    loss_a = INTERNAL_LOSS + rho_c / (np.pi * f * ma)
    loss_b = INTERNAL_LOSS + rho_c / (np.pi * f * mb)
    gain_a = forced_gain(f / fa, loss_a)
    gain_b = forced_gain(f / fb, loss_b)
    # air path: two leaves in series over an absorbing cavity
    cos2 = limiting_cosine2(f, area)
    alpha = np.minimum(alpha, 2.0 * np.pi * f * depth / SOUND_SPEED)
    ratio = 0.5 * (ma / mb + mb / ma)
    aa = (np.pi * f / rho_c) ** 2 * ma * mb * alpha
    double = (1.0 - cos2) / ((ratio + aa * cos2) * (ratio + aa)) * gain_a * gain_b
    # below mass-air-mass resonance the wall moves as one
    resonance = np.sqrt(1.8 * AIR_DENSITY * SOUND_SPEED**2 * (ma + mb) / (depth * ma * mb)) / (2.0 * np.pi)
    single = 10.0 ** (-0.1 * mass_law(f, ma + mb, area))
    weight = np.clip(np.log(f / (resonance * 2.0 / 3.0)) / np.log(1.5), 0.0, 1.0)
    air = single ** (1.0 - weight) * np.minimum(double, 1.0) ** weight
    bridge = line_bridge(f, ma, fa, loss_a, mb, fb, loss_b, spacing) * weight
    return np.maximum(0.0, -10.0 * np.log10(np.minimum(1.0, air + bridge)))
