"""Two plates on regularly spaced studs, held at their screws, over bays of air or fill: the accurate model.

Plates, fluid and studs are coupled in wavenumber space. Each leaf is a thin plate that repeats with the stud
spacing ``b`` along the wall and with the screw spacing ``s`` up the stud; a plane wave then excites the harmonics
``kx + 2 pi m / b`` and ``kz + 2 pi n / s`` only. The cavity is closed by the studs: its pressure is expanded in
the cosine modes of the bay's clear width. Leaves touch the stud through screw heads (two points, a head's
half-width either side of the stud's middle), and the stud moves as a beam and turns as a shaft, with its mass.
This is what makes the dip of direct-fixed boards: the clear bay of board and the cavity's spring resonate
together near 125-160 Hz at 400 mm centres.

What is not known of a real wall is not set to one value but spread over its published range inside the average
over bands and angles: the boards' thickness times critical frequency and the fill's frame modulus.

A fill that touches both linings also lets waves into its fibres, which stiffens the cavity and damps the boards.

Valid for 50-5000 Hz, bays 130-850 mm, leaves 5.5-30 kg/m2, cavities 38-150 mm, single-row timber studs with boards
fixed directly. Not for resilient bars, steel or separate studs. Under half a second a bay. Left out: noggins, joints
between boards, boards stiffer one way than the other, what the wall's own perimeter holds or passes on.

Constants chosen with the measured rows in sight are three (:mod:`wallcalc.sound.chosen`). At wide centres the model
promises more STC than published guidance credits; what was tried, and how the claim is bounded, is told in
:mod:`wallcalc.sound.wide_centres`.

References
----------
Lin & Garrelick, JASA 61, 1977, 1014-1018 (line-connected plates, space harmonics); Brunskog, JASA 117, 2005,
3729-3739 (finite cavities between studs); Craik & Smith, Applied Acoustics 61, 2000, 247-269 (lines that act as
points); all from memory.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from wallcalc.sound.gap import cavity_impedances, is_full
from wallcalc.sound.leaf import AIR_DENSITY, SOUND_SPEED, plate, sewell_field
from wallcalc.sound.records import EXACT_BANDS, Absorber, Leaf

BOARD_LOSS = 0.025
"""Loss factor of plasterboard screwed to studs and jointed, without radiation (the material alone 0.0125: Hopkins,
Sound Insulation, 2007; in place 0.03 with Davy). Chosen between them; range 0.0125 to 0.03."""
HFC_SPREAD = (32.3 / 37.9, 43.5 / 37.9)
"""Range of thickness times critical frequency about its middle (Hopkins, 2007: 32.3 to 43.5 m Hz by gypsum)."""
FRAME_SPREAD = (0.7, 1.3)
"""Range of the fill's frame modulus about its middle."""
SCREW_HEAD = 4.0e-3
"""Half-width of a screw head, m."""
STUD_DENSITY = 450.0
"""Softwood, kg/m3 (EN 338: C16 370, C24 420 mean; a little moist)."""
STUD_E, STUD_G = 10.0e9, 0.6e9
"""Softwood's moduli in bending along the grain and in shear, Pa (EN 338, between C16 and C24)."""
STUD_LOSS = 0.02
FADED = 2.0
"""Wavenumber up the stud, relative to sound's, from which the cavity no longer couples the leaves."""
POINTS = 384
"""Points of the average over frequency, two angles, board stiffness and frame modulus in one band."""
RHO_C = AIR_DENSITY * SOUND_SPEED


class Bay(NamedTuple):
    """One bay repeated along the wall: everything the solver reads.

    ``spacing`` (m, stud centre to stud centre), ``depth`` (m), ``stud_width`` (m), ``screw_spacing`` (m),
    ``lines`` (how many studs stand together at each line, may be a mean; 0: the leaves meet nowhere), ``area`` of the
    wall (m2).
    """

    leaf_a: Leaf
    leaf_b: Leaf
    spacing: float
    depth: float
    fill: Absorber | None
    screw_spacing: float = 0.3
    stud_width: float = 0.038
    lines: float = 1.0
    area: float = 9.0


def lattice(points: int, dimensions: int) -> NDArray[np.float64]:
    """Return evenly spread points in the unit cube.

    Parameters
    ----------
    points, dimensions : int
        How many points, in how many dimensions.

    Returns
    -------
    numpy.ndarray
        Shape (points, dimensions), values in 0 to 1; the same on every call.

    References
    ----------
    Additive recurrence with the generalised golden ratio (a Kronecker sequence).
    """
    ratio = 2.0
    for _ in range(64):
        ratio = (1.0 + ratio) ** (1.0 / (dimensions + 1))
    steps = (1.0 / ratio) ** np.arange(1, dimensions + 1)
    return (0.5 + np.outer(np.arange(1, points + 1), steps)) % 1.0


def bay_transmission(
    bay: Bay, band: float, points: int = POINTS, shift: NDArray[np.float64] | None = None
) -> float:
    """Return the transmission coefficient of a wall of equal bays in one third-octave band.

    Parameters
    ----------
    bay : Bay
        The bay.
    band : float
        Band centre, Hz.
    points : int
        Points of the average.
    shift : numpy.ndarray or None
        Shift of the five-dimensional lattice, to judge the average's own error.

    Returns
    -------
    float
        Transmission coefficient in a diffuse field, finite wall of ``bay.area``.
    """
    q = lattice(points, 5)
    if shift is not None:
        q = (q + shift) % 1.0
    f = band * 2.0 ** ((q[:, 0] - 0.5) / 3.0)
    u = q[:, 1]
    azimuth = 0.5 * np.pi * q[:, 2]
    hfc = HFC_SPREAD[0] + (HFC_SPREAD[1] - HFC_SPREAD[0]) * q[:, 3]
    frame = FRAME_SPREAD[0] + (FRAME_SPREAD[1] - FRAME_SPREAD[0]) * q[:, 4]
    k = 2.0 * np.pi * f / SOUND_SPEED
    sine = np.sqrt(1.0 - u**2)
    # finite area: radiation and incidence share one factor, so that a limp leaf gives Sewell's result exactly
    edge = 1.0 / np.expm1(sewell_field(f, bay.area))
    radiated = _radiated(bay, f, k * sine * np.cos(azimuth), k * sine * np.sin(azimuth), hfc, frame, edge)
    return float(np.mean(u / np.sqrt(u**2 + edge) * radiated) * 2.0 * RHO_C)


def bay_spectrum(
    bay: Bay, points: int = POINTS, shift: NDArray[np.float64] | None = None
) -> NDArray[np.float64]:
    """Return the transmission coefficients of a wall of equal bays in the 21 bands 50-5000 Hz.

    Parameters
    ----------
    bay : Bay
        The bay.
    points : int
        Points of the average in each band.
    shift : numpy.ndarray or None
        See :func:`bay_transmission`.

    Returns
    -------
    numpy.ndarray
        Transmission coefficients, at most 1.
    """
    return np.minimum(1.0, [bay_transmission(bay, band, points, shift) for band in EXACT_BANDS])


def _plate_admittances(
    bay: Bay,
    omega: NDArray[np.float64],
    hfc: NDArray[np.float64],
    lateral: NDArray[np.float64],
    radiation: NDArray,
) -> list[NDArray[np.complex128]]:
    found = []
    for leaf in (bay.leaf_a, bay.leaf_b):
        p = plate(leaf)
        stiffness = (p.stiffness / hfc**2)[:, None] * (1.0 + 1j * BOARD_LOSS)
        found.append(
            1.0 / (1j * (omega[:, None] * p.mass - stiffness * lateral**2 / omega[:, None]) + radiation)
        )
    return found


def _stud_mobilities(
    bay: Bay, omega: NDArray[np.float64], kz: NDArray[np.float64]
) -> tuple[NDArray[np.complex128], NDArray[np.complex128]]:
    """Mobility of the stud per screw, moving and turning, at one wavenumber along it."""
    width, depth = bay.stud_width, bay.depth
    mass = STUD_DENSITY * width * depth * bay.lines
    bending = STUD_E * width * depth**3 / 12.0 * bay.lines * (1.0 + 1j * STUD_LOSS)
    inertia = mass * (width**2 + depth**2) / 12.0
    thin, thick = min(width, depth), max(width, depth)
    torsion = (
        STUD_G * thin**3 * thick / 3.0 * (1.0 - 0.63 * thin / thick) * bay.lines * (1.0 + 1j * STUD_LOSS)
    )
    s = bay.screw_spacing
    move = 1.0 / (1j * (omega * mass - bending * kz**4 / omega) * s)
    turn = 1.0 / (1j * (omega * inertia - torsion * kz**2 / omega) * s)
    return move, turn


def _radiated(
    bay: Bay,
    f: NDArray[np.float64],
    kx: NDArray[np.float64],
    kz: NDArray[np.float64],
    hfc: NDArray[np.float64],
    frame: NDArray[np.float64],
    edge: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Power radiated by leaf b per area for a unit plane wave on leaf a, at each point."""
    b, s, d = bay.spacing, bay.screw_spacing, bay.depth
    count = len(f)
    omega = 2.0 * np.pi * f
    k = omega / SOUND_SPEED
    clear = b - bay.stud_width
    shortest = max(
        (p.mass * omega.max() ** 2 / (p.stiffness / HFC_SPREAD[1] ** 2)) ** 0.25
        for p in (plate(bay.leaf_a), plate(bay.leaf_b))
    )
    M = int(np.ceil(1.4 * shortest * b / (2.0 * np.pi))) + 3
    N = int(np.ceil(1.4 * shortest * s / (2.0 * np.pi))) + 2
    kxm = kx[:, None] + 2.0 * np.pi * np.arange(-M, M + 1) / b
    modes = np.arange(int(np.ceil(k.max() * clear / np.pi)) + 2)
    kp = modes * np.pi / clear
    P = len(modes)
    project = _projection(kxm, kp, clear, bay.stud_width)
    spread = np.conj(project).swapaxes(1, 2) / b
    contacts = np.array([-SCREW_HEAD, SCREW_HEAD])
    pick = np.exp(-1j * kxm[:, None, :] * contacts[:, None])
    push = np.conj(pick).swapaxes(1, 2) / (b * s)
    compliance = np.zeros((count, 4, 4), complex)
    move = np.zeros(count, complex)
    turn = np.zeros(count, complex)
    kept: list[tuple[NDArray[np.complex128], NDArray[np.float64]]] = []
    free = np.zeros((count, 4), complex)
    eye = np.eye(P)
    # a full fill's frame still damps the boards' own free waves
    faded = max(FADED, 1.2 * shortest / k.min()) if is_full(bay.fill, d) else FADED
    for n in [0, *range(-N, 0), *range(1, N + 1)]:
        kzn = kz + 2.0 * np.pi * n / s
        lateral = kxm**2 + kzn[:, None] ** 2
        cos2 = 1.0 - lateral / k[:, None] ** 2
        radiation = RHO_C / np.sqrt(np.abs(cos2) + edge[:, None]) * np.where(cos2 > 0.0, 1.0, 1j)
        ya, yb = _plate_admittances(bay, omega, hfc, lateral, radiation)
        columns = 5 if n == 0 else 4
        load_a = np.zeros((count, 2 * M + 1, columns), complex)
        load_b = np.zeros_like(load_a)
        load_a[:, :, :2] = push
        load_b[:, :, 2:4] = push
        if n == 0:
            load_a[:, M, 4] = 2.0  # a unit wave meets a blocked wall with twice its pressure
        if np.min(np.abs(kzn) / k) > faded:
            va, vb = ya[:, :, None] * load_a, yb[:, :, None] * load_b
        else:
            own, other = cavity_impedances(f[:, None], kp**2 + kzn[:, None] ** 2, d, bay.fill, frame[:, None])
            pa, pb = project * ya[:, None, :], project * yb[:, None, :]
            system = np.empty((count, 2 * P, 2 * P), complex)
            ga, gb = pa @ spread, pb @ spread
            system[:, :P, :P] = eye + ga * own[:, None, :]
            system[:, :P, P:] = -ga * other[:, None, :]
            system[:, P:, :P] = -gb * other[:, None, :]
            system[:, P:, P:] = eye + gb * own[:, None, :]
            mode = np.linalg.solve(system, np.concatenate([pa @ load_a, pb @ load_b], axis=1))
            ma, mb = mode[:, :P], mode[:, P:]
            va = ya[:, :, None] * (load_a - spread @ (own[:, :, None] * ma - other[:, :, None] * mb))
            vb = yb[:, :, None] * (load_b + spread @ (other[:, :, None] * ma - own[:, :, None] * mb))
        at_screws = np.concatenate([pick @ va, pick @ vb], axis=1)
        compliance += at_screws[..., :4]
        if n == 0:
            free = at_screws[..., 4]
        kept.append((vb, np.where(cos2 > 0.0, radiation.real, 0.0)))
        if bay.lines > 0.0:
            more_move, more_turn = _stud_mobilities(bay, omega, kzn)
            move += more_move
            turn += more_turn
    arms = np.concatenate([contacts, contacts])
    if bay.lines > 0.0:
        stud = move[:, None, None] + turn[:, None, None] * np.outer(arms, arms)
        force = np.linalg.solve(compliance + stud, free[:, :, None])
    else:
        force = np.zeros((count, 4, 1), complex)
    power = np.zeros(count)
    for i, (vb, resistance) in enumerate(kept):
        velocity = -(vb[..., :4] @ force)[..., 0]
        if i == 0:
            velocity = velocity + vb[..., 4]
        power += np.sum(np.abs(velocity) ** 2 * resistance, axis=1)
    return power


def _projection(
    kxm: NDArray[np.float64], kp: NDArray[np.float64], clear: float, stud_width: float
) -> NDArray[np.complex128]:
    """Share of each plate harmonic in each (normalised) cosine mode of the bay's clear width."""

    def over(q: NDArray[np.float64]) -> NDArray[np.complex128]:
        return clear * np.sinc(q * clear / (2.0 * np.pi)) * np.exp(-0.5j * q * clear)

    norm = np.where(kp == 0.0, 1.0 / np.sqrt(clear), np.sqrt(2.0 / clear))
    wave = kxm[:, None, :]
    both = over(wave + kp[:, None]) + over(wave - kp[:, None])
    return norm[:, None] * 0.5 * both * np.exp(-0.5j * wave * stud_width)
