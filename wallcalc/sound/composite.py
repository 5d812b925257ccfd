"""A wall with something else in it: doors, and the gap round its edge."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wallcalc.sound.ratings import ISO_CURVE, rw

REFERENCE_SHAPE = np.concatenate([[24.0, 27.0, 30.0], ISO_CURVE, [56.0, 56.0]]) - 54.0
"""Reference curve of ISO 717-1 carried on to 50 and 5000 Hz with its own slopes, relative to its Rw, dB."""


def combined(R: Sequence[ArrayLike], area: Sequence[float]) -> NDArray[np.float64]:
    """Return the sound reduction of parts side by side.

    Parameters
    ----------
    R : sequence of array_like
        Sound reduction index of each part, dB (all of one shape).
    area : sequence of float
        Area of each part, m2.

    Returns
    -------
    numpy.ndarray
        ``-10 lg(sum(S_i 10**(-R_i / 10)) / sum(S_i))``, dB.

    Raises
    ------
    ValueError
        When the areas are not positive or do not match.

    References
    ----------
    Hopkins, Sound Insulation (2007), section 4.3.1.3; Bies & Hansen, Engineering Noise Control.
    """
    areas = np.asarray(area, dtype=float)
    if len(R) != len(areas) or len(areas) == 0 or not np.all(areas > 0):
        raise ValueError(f"area: found {list(area)} for {len(R)} parts; give one area above 0 for each part")
    tau = sum(s * 10.0 ** (-0.1 * np.asarray(r, float)) for s, r in zip(areas, R, strict=True))
    return -10.0 * np.log10(tau / areas.sum())


def curve_of_rating(rating: float) -> NDArray[np.float64]:
    """Return a spectrum in the 21 bands 50-5000 Hz with the given Rw, in the shape of the reference curve.

    Parameters
    ----------
    rating : float
        Rw, dB.

    Returns
    -------
    numpy.ndarray
        R, dB; a stand-in where only the single number of a door is known.
    """
    return REFERENCE_SHAPE + rating


def needed_rating(R: ArrayLike, wall_area: float, infill_area: float, *, loss: float = 1.0) -> float:
    """Return the Rw an infill must have so that the whole stays within ``loss`` dB of the bare wall's Rw.

    Parameters
    ----------
    R : array_like
        The wall's sound reduction index in 21 bands, dB.
    wall_area, infill_area : float
        Net area of the wall and area of the infill, m2.
    loss : float
        What the whole may lose, dB.

    Returns
    -------
    float
        Rw of the infill, whole dB, 0 to 80 (80: not reached by any).
    """
    target = float(rw(R)) - loss
    low, high = 0, 80
    while low < high:
        middle = (low + high) // 2
        whole = combined([R, curve_of_rating(middle)], [wall_area, infill_area])
        if float(rw(whole)) >= target:
            high = middle
        else:
            low = middle + 1
    return float(low)
