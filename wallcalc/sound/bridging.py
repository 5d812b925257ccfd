"""Sound that crosses the studs."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wallcalc.sound.leaf import AIR_DENSITY, SOUND_SPEED, forced_gain


def line_bridge(
    frequency: ArrayLike,
    mass_a: ArrayLike,
    critical_a: ArrayLike,
    loss_a: ArrayLike,
    mass_b: ArrayLike,
    critical_b: ArrayLike,
    loss_b: ArrayLike,
    spacing: ArrayLike,
) -> NDArray[np.float64]:
    """Return the transmission coefficient of rigid line connections between two leaves.

    Parameters
    ----------
    frequency : array_like
        Hz.
    mass_a, mass_b : array_like
        Leaves, kg/m2.
    critical_a, critical_b : array_like
        Critical frequencies, Hz.
    loss_a, loss_b : array_like
        Total loss factors.
    spacing : array_like
        Mean distance between the lines, m.

    Returns
    -------
    numpy.ndarray
        Transmission coefficient of this path; the same with the sides swapped.

    Notes
    -----
    ``64 rho**2 c**3 / (g**2 b omega**2)`` with ``g = ma sqrt(omega_cb) + mb sqrt(omega_ca)``, raised by the
    geometric mean of the two leaves' coincidence gains (:func:`wallcalc.sound.leaf.forced_gain`). Lines act
    one by one: the bay's own resonance between two studs is not in it.

    References
    ----------
    Davy, JASA 127, 2010, 841-849, and Bies & Hansen, Engineering Noise Control (from memory); agrees within
    1 dB with the line bridge of Sharp, Noise Control Eng. 11(2), 1978.
    """
    omega = 2.0 * np.pi * np.asarray(frequency, float)
    g = mass_a * np.sqrt(2.0 * np.pi * np.asarray(critical_b)) + mass_b * np.sqrt(
        2.0 * np.pi * np.asarray(critical_a)
    )
    limp = 64.0 * AIR_DENSITY**2 * SOUND_SPEED**3 / (g**2 * spacing * omega**2)
    f = np.asarray(frequency, float)
    return limp * np.sqrt(forced_gain(f / critical_a, loss_a) * forced_gain(f / critical_b, loss_b))
