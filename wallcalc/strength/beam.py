"""A simply supported beam under any loads: reactions, shear, moment and deflection, exactly.

Lengths in mm, forces in N, distributed loads in N/mm, moments in N.mm, E and G in N/mm2. Loads act the way
the beam deflects (positive), a positive moment sags. Derived from statics and beam theory (Euler-Bernoulli
bending, Timoshenko shear); at one place the formulas are Macaulay's brackets, and between the places where loads stand,
begin or end everything is a polynomial, whose turning points are found from it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from scipy.optimize import brentq

SHEAR_FORM_RECTANGLE = 1.2
"""Form factor of a rectangle in shear deflection: 6/5 (mechanics of materials)."""

NEAR, RELATIVE = 1e-9, 1e-15
"""How near [mm] to a turning point the search ends; the value there is flat, so its error is far smaller."""


@dataclass(frozen=True, slots=True)
class PointLoad:
    """A force [N] at a position [mm] from the beam's left end."""

    position: float
    force: float


@dataclass(frozen=True, slots=True)
class LineLoad:
    """A uniform load [N/mm] from ``start`` to ``end`` [mm]."""

    start: float
    end: float
    intensity: float


@dataclass(frozen=True, slots=True)
class AppliedMoment:
    """A couple [N.mm] at a position [mm]; positive raises the bending moment to the right of it."""

    position: float
    moment: float


Load = PointLoad | LineLoad | AppliedMoment


@dataclass(frozen=True, slots=True)
class _Piece:
    """A stretch of a beam between the places where loads stand, begin or end.

    ``load`` [N/mm] acts all along it; ``shear``, ``moment`` (couples included, whose sum so far is ``couples``), its
    integral and the integral of that are those just right of its ``start``.
    """

    start: float
    length: float
    load: float
    shear: float
    moment: float
    couples: float
    second: float
    third: float

    def moment_at(self, s: float) -> float:
        """Return the moment at a distance from the start [N.mm]."""
        return self.moment + s * (self.shear - s * self.load / 2)


@dataclass(frozen=True, slots=True)
class Beam:
    """A beam on two supports, at 0 and at ``span``.

    Parameters
    ----------
    span : float
        Distance between the supports [mm], more than 0.
    loads : tuple of PointLoad, LineLoad or AppliedMoment
        The loads, each within the span.

    Raises
    ------
    ValueError
        When the span is not positive or a load lies outside it.
    """

    span: float
    loads: tuple[Load, ...] = ()
    _reactions: tuple[float, float] = field(init=False, repr=False, compare=False)
    _pieces: tuple[_Piece, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        if not self.span > 0:
            raise ValueError(f"span must be more than 0 mm, found {self.span}")
        for load in self.loads:
            ends = (load.start, load.end) if isinstance(load, LineLoad) else (load.position, load.position)
            if not 0 <= ends[0] <= ends[1] <= self.span:
                raise ValueError(f"{load} lies outside the span of {self.span} mm")
        object.__setattr__(self, "_reactions", _reactions(self.span, self.loads))
        object.__setattr__(self, "_pieces", _pieces(self.span, self.loads, self._reactions[0]))

    @property
    def reactions(self) -> tuple[float, float]:
        """Reactions at the left and the right support [N], positive against the loads."""
        return self._reactions

    def shear(self, x: float) -> float:
        """Return the shear force just right of ``x`` [N].

        Parameters
        ----------
        x : float
            Position [mm].

        Returns
        -------
        float
        """
        value = self._reactions[0]
        for load in self.loads:
            if isinstance(load, PointLoad):
                value -= load.force if x >= load.position else 0.0
            elif isinstance(load, LineLoad):
                value -= load.intensity * max(0.0, min(x, load.end) - load.start)
        return value

    def moment(self, x: float) -> float:
        """Return the bending moment at ``x`` [N.mm]; at an applied moment, just right of it.

        Parameters
        ----------
        x : float
            Position [mm].

        Returns
        -------
        float
        """
        value = self._reactions[0] * x
        for load in self.loads:
            if isinstance(load, AppliedMoment):
                value += load.moment if x >= load.position else 0.0
            else:
                value -= self._bracket(load, x, 1)
        return value

    def deflection(self, x: float, stiffness: float) -> float:
        """Return the bending deflection at ``x`` [mm].

        Parameters
        ----------
        x : float
            Position [mm].
        stiffness : float
            E times I [N.mm2].

        Returns
        -------
        float
        """
        return (self._third(self.span) / self.span * x - self._third(x)) / stiffness

    def shear_deflection(self, x: float, shear_stiffness: float) -> float:
        """Return the deflection at ``x`` that shear adds [mm] (Timoshenko).

        Parameters
        ----------
        x : float
            Position [mm].
        shear_stiffness : float
            G times A over the form factor [N], see :func:`shear_stiffness`.

        Returns
        -------
        float
        """
        couples = sum(load.moment for load in self.loads if isinstance(load, AppliedMoment))
        before = sum(m.moment for m in self.loads if isinstance(m, AppliedMoment) and x >= m.position)
        # integral of the shear force: the moment without the jumps of couples; uniform shear only turns the beam
        return (self.moment(x) - before + couples * x / self.span) / shear_stiffness

    def greatest_shear(self) -> tuple[float, float]:
        """Return position [mm] and absolute value [N] of the greatest shear force.

        Returns
        -------
        tuple of float
        """
        best = (0.0, 0.0)
        for piece in self._pieces:
            for s in (0.0, piece.length):
                value = abs(piece.shear - piece.load * s)
                if value > best[1]:
                    best = (piece.start + s, value)
        return best

    def greatest_moment(self) -> tuple[float, float]:
        """Return position [mm] and absolute value [N.mm] of the greatest bending moment.

        Returns
        -------
        tuple of float
        """
        best = (0.0, 0.0)
        for piece in self._pieces:
            for s in (0.0, *_zeros((piece.shear, -piece.load), piece.length), piece.length):
                value = abs(piece.moment_at(s))
                if value > best[1]:
                    best = (piece.start + s, value)
        return best

    def greatest_deflection(self, stiffness: float, shear_stiffness: float = math.inf) -> tuple[float, float]:
        """Return position [mm] and absolute value [mm] of the greatest deflection.

        The true maximum: the slope's zeros are found in each piece, nothing is sampled. With a finite shear stiffness
        the deflection of both together is searched.

        Parameters
        ----------
        stiffness : float
            E times I [N.mm2].
        shear_stiffness : float
            G times A over the form factor [N]; infinite leaves shear out.

        Returns
        -------
        tuple of float
        """
        end = self._pieces[-1]
        turned = _polynomial(
            (end.third, end.second, end.moment / 2, end.shear / 6, -end.load / 24), end.length
        )
        couples = sum(load.moment for load in self.loads if isinstance(load, AppliedMoment))
        best = (0.0, 0.0)
        for p in self._pieces:
            slip = p.moment - p.couples + couples * p.start / self.span
            curve = (
                (turned * p.start / self.span - p.third) / stiffness + slip / shear_stiffness,
                (turned / self.span - p.second) / stiffness
                + (p.shear + couples / self.span) / shear_stiffness,
                -p.moment / 2 / stiffness - p.load / 2 / shear_stiffness,
                -p.shear / 6 / stiffness,
                p.load / 24 / stiffness,
            )
            for s in (0.0, *_zeros(_derivative(curve), p.length)):
                value = abs(_polynomial(curve, s))
                if value > best[1]:
                    best = (p.start + s, value)
        return best

    def _bracket(self, load: PointLoad | LineLoad, x: float, power: int) -> float:
        """Macaulay's bracket of a load: its ``power``-fold effect at ``x``, divided by the factorial."""
        if isinstance(load, PointLoad):
            return load.force * max(0.0, x - load.position) ** power / math.factorial(power)
        begin = max(0.0, x - load.start) ** (power + 1)
        done = max(0.0, x - load.end) ** (power + 1)
        return load.intensity * (begin - done) / math.factorial(power + 1)

    def _third(self, x: float) -> float:
        """Double integral of the moment from 0 to ``x``."""
        value = self._reactions[0] * x**3 / 6
        for load in self.loads:
            if isinstance(load, AppliedMoment):
                value += load.moment * max(0.0, x - load.position) ** 2 / 2
            else:
                value -= self._bracket(load, x, 3)
        return value


def shear_stiffness(area: float, G: float, form: float = SHEAR_FORM_RECTANGLE) -> float:
    """Return the shear stiffness of a section, G A / form [N].

    Parameters
    ----------
    area : float
        Cross-section [mm2].
    G : float
        Shear modulus [N/mm2].
    form : float
        Form factor; 1.2 for a rectangle.

    Returns
    -------
    float
    """
    return G * area / form


def _reactions(span: float, loads: tuple[Load, ...]) -> tuple[float, float]:
    total = 0.0
    right = 0.0
    for load in loads:
        if isinstance(load, PointLoad):
            total += load.force
            right += load.force * load.position
        elif isinstance(load, LineLoad):
            force = load.intensity * (load.end - load.start)
            total += force
            right += force * (load.start + load.end) / 2
        else:
            right += load.moment
    right /= span
    return total - right, right


def _pieces(span: float, loads: tuple[Load, ...], reaction: float) -> tuple[_Piece, ...]:
    """Cut a beam where loads stand, begin or end, and carry shear, moment and its integrals along it."""
    places = {0.0, float(span)}
    forces: dict[float, float] = {}
    turns: dict[float, float] = {}
    for load in loads:
        if isinstance(load, LineLoad):
            places |= {float(load.start), float(load.end)}
        else:
            some = forces if isinstance(load, PointLoad) else turns
            value = load.force if isinstance(load, PointLoad) else load.moment
            some[load.position] = some.get(load.position, 0.0) + float(value)
            places.add(float(load.position))
    found = []
    shear, moment, couples, second, third = float(reaction), 0.0, 0.0, 0.0, 0.0
    for start, end in pairwise(sorted(places)):
        shear -= forces.get(start, 0.0)
        moment += turns.get(start, 0.0)
        couples += turns.get(start, 0.0)
        load_here = sum(
            float(q.intensity) for q in loads if isinstance(q, LineLoad) and q.start <= start < q.end
        )
        piece = _Piece(start, end - start, load_here, shear, moment, couples, second, third)
        found.append(piece)
        s = piece.length
        third = _polynomial((third, second, moment / 2, shear / 6, -load_here / 24), s)
        second = _polynomial((second, moment, shear / 2, -load_here / 6), s)
        moment, shear = piece.moment_at(s), shear - load_here * s
    return tuple(found)


def _polynomial(factors: Sequence[float], s: float) -> float:
    """Return the value of a polynomial, its factors from the constant upwards."""
    value = 0.0
    for factor in reversed(factors):
        value = value * s + factor
    return value


def _derivative(factors: Sequence[float]) -> tuple[float, ...]:
    return tuple(power * factor for power, factor in enumerate(factors) if power)


def _zeros(factors: Sequence[float], length: float) -> list[float]:
    """Return where a polynomial is zero between 0 and ``length``, in order."""
    while factors and factors[-1] == 0.0:
        factors = factors[:-1]
    if len(factors) < 2:
        return []
    if len(factors) == 2:
        found = [-factors[0] / factors[1]]
    elif len(factors) == 3:
        c, b, a = factors
        root = b * b - 4 * a * c
        if root < 0:
            return []
        q = -(b + math.copysign(math.sqrt(root), b)) / 2
        found = sorted([q / a, *([c / q] if q else [])])
    else:  # between the places where it turns it is monotone
        ends = [0.0, *_zeros(_derivative(factors), length), length]
        found = [z for left, right in pairwise(ends) if (z := _zero(factors, left, right)) is not None]
    return [s for s in found if 0.0 <= s <= length]


def _zero(factors: Sequence[float], left: float, right: float) -> float | None:
    """Find where a polynomial changes sign between two places, monotone there (Brent); None if it does not."""
    low, high = _polynomial(factors, left), _polynomial(factors, right)
    if low == 0.0:
        return left
    if high == 0.0:
        return right
    if (low < 0) == (high < 0):
        return None
    return float(brentq(lambda s: _polynomial(factors, s), left, right, xtol=NEAR, rtol=RELATIVE))
