"""The cavity: air, porous fill, or both in layers, as it couples the two leaves.

SI units. Time goes as ``exp(+j omega t)``. Arrays broadcast.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from wallcalc.sound.leaf import AIR_DENSITY, SOUND_SPEED
from wallcalc.sound.records import Absorber

EMPTY_LOSS = 0.1
"""Loss factor of the air in an empty cavity; stands for absorption by board paper, timber and leaks. Davy's
absorption coefficient of 0.1 for an empty cavity (from memory); range 0.02 to 0.15."""
FRAME_MODULUS = 1200.0
"""Elastic modulus of a fill's own fibre frame per unit of density, Pa per kg/m3. Fitted; acts only where the fill
touches both linings. Range 400 to 2000 (light wools of 10-20 kg/m3 some kPa to tens of kPa: from memory). It is also
the square of the frame's wave speed: waves in the frame carry energy out of the boards."""
FRAME_LOSS = 0.2
"""Loss factor of the fibre frame (0.1 to 0.3 for mineral wool: from memory)."""
FULL = 0.95
"""Share of the depth from which a fill counts as touching both linings."""

Complex = NDArray[np.complex128]


class Medium(NamedTuple):
    """A fluid: characteristic impedance (Pa s/m) and wavenumber (1/m)."""

    impedance: Complex
    wavenumber: Complex


def porous(frequency: ArrayLike, flow_resistivity: ArrayLike) -> Medium:
    """Return the equivalent fluid of a fibrous fill.

    Parameters
    ----------
    frequency : array_like
        Hz.
    flow_resistivity : array_like
        Pa s/m2.

    Returns
    -------
    Medium
        Complex impedance and wavenumber.

    Notes
    -----
    Stated for 0.01 < f/sigma < 1; below that the compression tends to isothermal, as it should.

    References
    ----------
    Miki, J. Acoust. Soc. Jpn (E) 11, 1990, 19-24 (coefficients 0.070, 0.107, -0.632; 0.109, 0.160, -0.618).
    """
    f = np.asarray(frequency, dtype=float)
    x = f / np.asarray(flow_resistivity, dtype=float)
    z, n = x**-0.632, x**-0.618
    k0 = 2.0 * np.pi * f / SOUND_SPEED
    return Medium(
        AIR_DENSITY * SOUND_SPEED * (1.0 + 0.070 * z - 0.107j * z), k0 * (1.0 + 0.109 * n - 0.160j * n)
    )


def empty(frequency: ArrayLike, loss: float = EMPTY_LOSS) -> Medium:
    """Return air with losses.

    Parameters
    ----------
    frequency : array_like
        Hz.
    loss : float
        Loss factor.

    Returns
    -------
    Medium
        Complex impedance and wavenumber.
    """
    k0 = 2.0 * np.pi * np.asarray(frequency, dtype=float) / SOUND_SPEED
    bulk = np.sqrt(1.0 + 1j * loss)
    return Medium(AIR_DENSITY * SOUND_SPEED * bulk + 0.0 * k0, k0 / bulk)


def _transfer(medium: Medium, lateral: NDArray[np.float64], thickness: ArrayLike) -> tuple[Complex, ...]:
    ky = np.sqrt(medium.wavenumber**2 - lateral + 0j)
    ky = np.where(ky.imag > 0.0, -ky, ky)
    impedance = medium.impedance * medium.wavenumber / ky
    phase = ky * thickness
    phase = np.where(phase.imag < -30.0, phase.real - 30.0j, phase)
    cosine, sine = np.cos(phase), np.sin(phase)
    return cosine, 1j * impedance * sine, 1j * sine / impedance, cosine


def _chain(one: tuple[Complex, ...], two: tuple[Complex, ...]) -> tuple[Complex, ...]:
    a, b, c, d = one
    e, f, g, h = two
    return a * e + b * g, a * f + b * h, c * e + d * g, c * f + d * h


def cavity_impedances(
    frequency: NDArray[np.float64],
    lateral: NDArray[np.float64],
    depth: float,
    fill: Absorber | None,
    frame_factor: ArrayLike = 1.0,
) -> tuple[Complex, Complex]:
    """Return how the cavity's pressure on each leaf follows from both leaves' velocities.

    ``p_a = own v_a - other v_b`` and ``p_b = other v_a - own v_b``, velocities from a to b.

    Parameters
    ----------
    frequency : ndarray
        Hz.
    lateral : ndarray
        Squared wavenumber along the wall, 1/m2, broadcastable with ``frequency``.
    depth : float
        Depth of the cavity, m.
    fill : Absorber or None
        The fill, its thickness in mm; what it leaves free lies half on each side.
    frame_factor : array_like
        Factor on :data:`FRAME_MODULUS` (to spread it over its range).

    Returns
    -------
    own, other : ndarray of complex
        Impedances, Pa s/m.

    References
    ----------
    Transfer matrices of layered fluids: Allard & Atalla, Propagation of Sound in Porous Media.
    """
    if fill is None:
        chain = _transfer(empty(frequency), lateral, depth)
    else:
        slab = porous(frequency, fill.flow_resistivity)
        thickness = min(fill.thickness * 1e-3, depth)
        chain = _transfer(slab, lateral, thickness)
        if thickness < depth * (1.0 - 1e-6):
            air = _transfer(empty(frequency), lateral, 0.5 * (depth - thickness))
            chain = _chain(_chain(air, chain), air)
    other = 1.0 / chain[2]
    own = chain[0] * other
    if is_full(fill, depth):
        frame_own, frame_other = _frame(frequency, fill.density, depth, frame_factor)
        own, other = own + frame_own, other + frame_other
    return own, other


def is_full(fill: Absorber | None, depth: float) -> bool:
    """Return whether a fill touches both linings of a cavity of a depth (m)."""
    return fill is not None and fill.thickness * 1e-3 >= FULL * depth


def _frame(
    frequency: NDArray[np.float64], density: float, depth: float, factor: ArrayLike
) -> tuple[Complex, Complex]:
    """Impedances of the fibre frame as a lossy elastic layer between the leaves, each point for itself."""
    speed = np.sqrt(FRAME_MODULUS * np.asarray(factor) * (1.0 + 1j * FRAME_LOSS))
    phase = 2.0 * np.pi * frequency * depth / speed
    phase = np.where(phase.imag < -30.0, phase.real - 30.0j, phase)
    return -1j * density * speed / np.tan(phase), -1j * density * speed / np.sin(phase)
