"""Screws to EN 1995-1-1: withdrawal (8.7.2), lateral load in single shear (8.2.2), both together (8.7.3).

Sizes in mm, forces in N, strengths in N/mm2, densities in kg/m3. Screws thinner than 6 mm lie outside the
withdrawal formula: then a declared value is used, and the result says so.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

THIN_SCREW, THICK_SCREW = 6.0, 12.0
"""Outer thread diameters [mm] between which the withdrawal formula holds, EN 1995-1-1 8.7.2(4)."""

ROOT_RANGE = (0.6, 0.75)
"""Root over outer thread diameter for which the withdrawal formula holds, EN 1995-1-1 8.7.2(4)."""

PENETRATION_DIAMETERS = 6.0
"""Least penetration of the threaded point, in diameters, EN 1995-1-1 8.7.2(3)."""


@dataclass(frozen=True, slots=True)
class Withdrawal:
    """Withdrawal capacity of one screw [N], characteristic, with notes on the formula's range."""

    strength: float
    capacity: float
    notes: tuple[str, ...] = ()


def withdrawal(
    diameter: float,
    penetration: float,
    rho_k: float,
    *,
    angle: float = 90.0,
    declared: float | None = None,
    declared_density: float = 350.0,
    root: float | None = None,
    least: float = PENETRATION_DIAMETERS,
) -> Withdrawal:
    """Return the characteristic withdrawal capacity of one screw, EN 1995-1-1 8.7.2, equations 8.38 to 8.40.

    Parameters
    ----------
    diameter : float
        Outer thread diameter [mm].
    penetration : float
        Length of thread in the piece that holds the point [mm].
    rho_k : float
        Characteristic density of that piece [kg/m3].
    angle : float
        Angle between screw and grain [degrees]; the formula holds from 30.
    declared : float, optional
        Declared parameter fax,k [N/mm2] at ``declared_density``, used outside 6 to 12 mm (8.7.2(6)).
    declared_density : float
        Density the declared value goes with [kg/m3].
    root : float, optional
        Root diameter of the thread [mm], for the range note.
    least : float
        Least penetration in diameters; with less, nothing is counted. 0 for a panel thinner than that.

    Returns
    -------
    Withdrawal
        ``strength`` fax,k, ``capacity`` Fax,Rk; ``notes`` say where the formula's range was left.

    Raises
    ------
    ValueError
        When the screw lies outside the formula and no declared value is given, or a size is not positive.
    """
    if diameter <= 0 or penetration < 0:
        raise ValueError(f"screw {diameter} mm, penetration {penetration} mm: both must be positive")
    notes: list[str] = []
    turn = math.radians(angle)
    grain = 1.2 * math.cos(turn) ** 2 + math.sin(turn) ** 2
    if penetration < least * diameter:
        notes.append(
            f"point penetration {penetration:g} mm is under {least:g} d = {least * diameter:g} mm (8.7.2(3)): "
            "no withdrawal counted"
        )
        return Withdrawal(0.0, 0.0, tuple(notes))
    if penetration < PENETRATION_DIAMETERS * diameter:
        notes.append(
            f"only {penetration:g} mm of thread, under {PENETRATION_DIAMETERS:g} d (8.7.2(3)): ask the maker"
        )
    if angle < 30.0:
        notes.append(f"angle to the grain {angle:g} is under 30 degrees (8.7.2)")
    if root is not None and not ROOT_RANGE[0] <= root / diameter <= ROOT_RANGE[1]:
        notes.append(
            f"root over outer diameter {root / diameter:.2f} is outside {ROOT_RANGE[0]} to {ROOT_RANGE[1]}"
        )
    if THIN_SCREW <= diameter <= THICK_SCREW:
        strength = 0.52 * diameter**-0.5 * penetration**-0.1 * rho_k**0.8
        capacity = strength * diameter * penetration * min(diameter / 8, 1.0) / grain
        return Withdrawal(strength, capacity, tuple(notes))
    if declared is None:
        raise ValueError(
            f"a {diameter:g} mm screw lies outside the withdrawal formula ({THIN_SCREW:g} to "
            f"{THICK_SCREW:g} mm, EN 1995-1-1 8.7.2(4)): give the declared withdrawal parameter"
        )
    notes.append(
        f"{diameter:g} mm lies outside the formula's {THIN_SCREW:g} to {THICK_SCREW:g} mm: declared value "
        f"{declared:g} N/mm2 used (8.7.2(6))"
    )
    capacity = declared * diameter * penetration / grain * (rho_k / declared_density) ** 0.8
    return Withdrawal(declared, capacity, tuple(notes))


@dataclass(frozen=True, slots=True)
class Lateral:
    """Characteristic capacity of one screw in single shear [N] and the failure mode that decides."""

    capacity: float
    mode: str
    rope: float
    modes: tuple[tuple[str, float], ...]


def effective_diameter(shank: float, root: float, shank_in_point: float) -> float:
    """Return the diameter of a screw for lateral load [mm], EN 1995-1-1 8.7.1.

    Parameters
    ----------
    shank, root : float
        Smooth shank and thread root diameters [mm].
    shank_in_point : float
        How far the smooth shank reaches into the piece that holds the point [mm].

    Returns
    -------
    float
        The shank where it reaches 4 d in, else 1.1 times the root.
    """
    return shank if shank_in_point >= 4 * shank else 1.1 * root


def embedment(rho_k: float, diameter: float, *, predrilled: bool = False) -> float:
    """Return the embedment strength of timber fh,k [N/mm2], EN 1995-1-1 8.3.1.1, equations 8.15 and 8.16.

    Parameters
    ----------
    rho_k : float
        Characteristic density [kg/m3].
    diameter : float
        Effective diameter [mm], up to 8.
    predrilled : bool
        Whether holes are drilled first.

    Returns
    -------
    float
    """
    return 0.082 * (1 - 0.01 * diameter) * rho_k if predrilled else 0.082 * rho_k * diameter**-0.3


def yield_moment(tensile: float, diameter: float) -> float:
    """Return the yield moment of a round fastener, 0.3 fu d^2.6 [N.mm], EN 1995-1-1 8.3.1.1.

    Parameters
    ----------
    tensile : float
        Tensile strength of the wire [N/mm2].
    diameter : float
        Effective diameter [mm].

    Returns
    -------
    float
    """
    return 0.3 * tensile * diameter**2.6


def single_shear(
    t1: float,
    t2: float,
    fh1: float,
    fh2: float,
    diameter: float,
    moment: float,
    withdrawal_capacity: float = 0.0,
    rope_share: float = 1.0,
) -> Lateral:
    """Return the capacity of one screw in single shear, timber to timber, EN 1995-1-1 8.2.2, equation 8.6.

    Parameters
    ----------
    t1, t2 : float
        Thickness of the head-side piece and penetration into the point-side piece [mm].
    fh1, fh2 : float
        Embedment strengths of the two [N/mm2].
    diameter : float
        Effective diameter [mm].
    moment : float
        Yield moment [N.mm].
    withdrawal_capacity : float
        Characteristic withdrawal capacity of the screw [N], for the rope effect (a quarter of it counts).
    rope_share : float
        Most the rope effect may add, as a share of the Johansen part: 1.0 for screws (8.2.2(2)).

    Returns
    -------
    Lateral
        The least of modes a to f, the mode, the rope effect in it and every mode's capacity.
    """
    beta = fh2 / fh1
    base = fh1 * diameter
    ratio = t2 / t1
    c = (
        base
        * t1
        / (1 + beta)
        * (math.sqrt(beta + 2 * beta**2 * (1 + ratio + ratio**2) + beta**3 * ratio**2) - beta * (1 + ratio))
    )
    d = (
        1.05
        * base
        * t1
        / (2 + beta)
        * (math.sqrt(2 * beta * (1 + beta) + 4 * beta * (2 + beta) * moment / (base * t1**2)) - beta)
    )
    e = (
        1.05
        * base
        * t2
        / (1 + 2 * beta)
        * (math.sqrt(2 * beta**2 * (1 + beta) + 4 * beta * (1 + 2 * beta) * moment / (base * t2**2)) - beta)
    )
    f = 1.15 * math.sqrt(2 * beta / (1 + beta)) * math.sqrt(2 * moment * base)
    quarter = withdrawal_capacity / 4
    plain = {"a": base * t1, "b": fh2 * diameter * t2}
    ropes = {
        name: min(quarter, rope_share * value) for name, value in (("c", c), ("d", d), ("e", e), ("f", f))
    }
    modes = {**plain, "c": c + ropes["c"], "d": d + ropes["d"], "e": e + ropes["e"], "f": f + ropes["f"]}
    mode = min(modes, key=lambda name: modes[name])
    return Lateral(modes[mode], mode, ropes.get(mode, 0.0), tuple(modes.items()))


def shear_over_gap(gap: float, embedded: float, fh: float, diameter: float, moment: float) -> Lateral:
    """Return the capacity of one screw loaded at a distance from the timber, through a board not counted on.

    From statics of a rigid-plastic screw whose head may turn: either it turns whole in the timber, or one hinge
    forms in it. Without a gap these are the two thin-plate modes of EN 1995-1-1 8.2.3 (equation 8.9) before its
    rounding and its factor 1.15; the rope effect is left out, as such a screw is in tension as well.

    Parameters
    ----------
    gap : float
        From the load to the timber's face [mm].
    embedded : float
        Length in the timber [mm].
    fh : float
        Embedment strength of the timber [N/mm2].
    diameter : float
        Effective diameter [mm].
    moment : float
        Yield moment [N.mm].

    Returns
    -------
    Lateral
        Modes "turning" and "hinge".
    """
    line = fh * diameter
    front = math.sqrt(gap * gap + gap * embedded + embedded * embedded / 2) - gap
    turning = line * (2 * front - embedded)
    hinge = line * (math.sqrt(gap * gap + 2 * moment / line) - gap)
    modes = {"turning": max(turning, 0.0), "hinge": hinge}
    mode = min(modes, key=lambda name: modes[name])
    return Lateral(modes[mode], mode, 0.0, tuple(modes.items()))


def combined_use(
    axial: float, axial_capacity: float, lateral: float, lateral_capacity: float, power: float = 2.0
) -> float:
    """Return the use of a screw under axial and lateral load together, EN 1995-1-1 8.7.3 (8.3.3).

    Parameters
    ----------
    axial, lateral : float
        Design forces on the screw [N].
    axial_capacity, lateral_capacity : float
        Design capacities [N].
    power : float
        2 for screws and other than smooth nails (equation 8.28), 1 for smooth nails (8.27).

    Returns
    -------
    float
        A use whose limit is 1, the root of the sum of powers; infinite when a loaded capacity is 0.
    """
    total = 0.0
    for force, capacity in ((axial, axial_capacity), (lateral, lateral_capacity)):
        if force > 0:
            if capacity <= 0:
                return math.inf
            total += (force / capacity) ** power
    return total ** (1 / power)
