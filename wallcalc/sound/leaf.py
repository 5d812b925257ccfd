"""One leaf of board: bending stiffness, losses, coincidence and the field's limiting angle.

Quantities in SI units (kg, m, s, N); the records of :mod:`wallcalc.sound.records` hold mm.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wallcalc.sound.records import Leaf

AIR_DENSITY = 1.205
"""Density of air at 20 degrees C, kg/m3."""
SOUND_SPEED = 343.0
"""Speed of sound in air at 20 degrees C, m/s."""
POISSON = 0.3
"""Poisson's ratio of plasterboard (Hopkins, Sound Insulation, 2007)."""


class Plate(NamedTuple):
    """A leaf as a thin plate: mass (kg/m2), bending stiffness (N m), critical frequency (Hz)."""

    mass: float
    stiffness: float
    critical: float


def plate(leaf: Leaf) -> Plate:
    """Return the leaf as one thin plate.

    Layers that are screwed and not glued slip on each other: masses and bending stiffnesses add, and the
    critical frequency stays that of one layer.

    Parameters
    ----------
    leaf : Leaf
        The lining.

    Returns
    -------
    Plate
        Mass per area (kg/m2), bending stiffness (N m), critical frequency (Hz).

    References
    ----------
    Cremer, Heckl & Petersson, Structure-Borne Sound: ``B = m (c0**2 / (2 pi fc))**2``.
    """
    critical = leaf.critical_frequency
    return Plate(leaf.mass, leaf.mass * (SOUND_SPEED**2 / (2.0 * np.pi * critical)) ** 2, critical)


def limiting_cosine2(
    frequency: ArrayLike, area: ArrayLike, *, most_angle: float = 61.0
) -> NDArray[np.float64]:
    """Return the squared cosine of the limiting angle of incidence for a finite wall.

    Parameters
    ----------
    frequency : array_like
        Hz.
    area : array_like
        Area of the wall, m2.
    most_angle : float
        Largest limiting angle, degrees.

    Returns
    -------
    numpy.ndarray
        ``cos(theta_l)**2 = 1 / (k sqrt(area))``, at most 0.9 and at least ``cos(most_angle)**2``.

    References
    ----------
    Davy, J. Sound Vib. 1990 and JASA 127, 2010, as printed in Bies & Hansen, Engineering Noise Control (from
    memory).
    """
    k = 2.0 * np.pi * np.asarray(frequency, float) / SOUND_SPEED
    return np.clip(1.0 / (k * np.sqrt(area)), np.cos(np.radians(most_angle)) ** 2, 0.9)


def sewell_field(frequency: ArrayLike, area: ArrayLike) -> NDArray[np.float64]:
    """Return how much more a finite limp panel passes in a diffuse field than at normal incidence, energy ratio.

    Parameters
    ----------
    frequency : array_like
        Hz.
    area : array_like
        Area that moves together, m2. Below ``k sqrt(area)`` of 1.1 the value there is kept.

    Returns
    -------
    numpy.ndarray
        ``ln(k sqrt S) + 0.16 + 1 / (4 pi k**2 S)``.

    References
    ----------
    Sewell, J. Sound Vib. 12, 1970, 21-32, as used in ISO 15186-3.
    """
    ks = np.maximum(1.1, 2.0 * np.pi * np.asarray(frequency, float) / SOUND_SPEED * np.sqrt(area))
    return np.log(ks) + 0.16 + 1.0 / (4.0 * np.pi * ks**2)


def mass_law(frequency: ArrayLike, mass: ArrayLike, area: ArrayLike) -> NDArray[np.float64]:
    """Return the sound reduction index of a limp panel of finite size in a diffuse field.

    Parameters
    ----------
    frequency : array_like
        Hz.
    mass : array_like
        kg/m2.
    area : array_like
        m2.

    Returns
    -------
    numpy.ndarray
        ``20 lg(pi f m / (rho c)) - 10 lg(ln(k sqrt S) + 0.16 + 1 / (4 pi k**2 S))``, dB, not below 0.

    References
    ----------
    Sewell, J. Sound Vib. 12, 1970, 21-32, as used in ISO 15186-3.
    """
    f = np.asarray(frequency, float)
    normal = 20.0 * np.log10(np.pi * f * mass / (AIR_DENSITY * SOUND_SPEED))
    return np.maximum(0.0, normal - 10.0 * np.log10(sewell_field(f, area)))


def forced_gain(ratio: ArrayLike, loss: ArrayLike) -> NDArray[np.float64]:
    """Return how much more a stiff leaf moves than a limp one in a diffuse field, as an energy ratio.

    The mean over incidence of ``1 / |1 - (f/fc)**2 sin**4|**2``: exact below coincidence without losses, the
    resonant angle's share above it.

    Parameters
    ----------
    ratio : array_like
        Frequency over critical frequency.
    loss : array_like
        Total loss factor.

    Returns
    -------
    numpy.ndarray
        Energy ratio, 1 far below coincidence.

    References
    ----------
    Cremer, Akust. Z. 7, 1942 (coincidence); the integral is elementary.
    """
    r = np.asarray(ratio, float)
    resonant = np.pi / (2.0 * np.maximum(r, 1.0) * np.asarray(loss, float))
    below = np.minimum(r, 1.0 - 1e-6)
    forced = 0.5 * (1.0 / (1.0 - below**2) + np.log((1.0 + below) / (1.0 - below)) / (2.0 * below))
    return np.where(r < 1.0, np.minimum(forced, resonant), resonant)
