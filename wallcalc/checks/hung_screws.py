"""What a hung item's screw holds in the timber it goes into, and how far it is from that timber's edge."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from wallcalc.checks.strength_values import factors, timber_class
from wallcalc.framing.tapers import covers, edge_room, stands
from wallcalc.records import Member
from wallcalc.strength.screws_ec5 import (
    embedment,
    shear_over_gap,
    single_shear,
    withdrawal,
    yield_moment,
)
from wallcalc.trade.prices import PriceBook
from wallcalc.trade.rules import Rules
from wallcalc.units.lengths import MM

ROOT_IN_SHEAR = 1.1
"""A threaded screw counts with this times its root diameter, EN 1995-1-1 8.7.1."""


@dataclass(frozen=True, slots=True)
class ScrewStrength:
    """Design strength of one screw [N] in tension and in shear, and notes on the formulas' range."""

    pull: float
    shear: float
    notes: tuple[str, ...]


@lru_cache(maxsize=64)
def screw_length(book: PriceBook, product: str) -> float:
    """Return the longest screw of a product on sale [mm]; 0 where there is none."""
    return max((i.length / MM for i in book.items("fixing") if i.product == product), default=0.0)


@lru_cache(maxsize=512)
def screw_strength(
    rules: Rules, diameter: float, penetration: float, gap: float, pattress: bool
) -> ScrewStrength:
    """Return what one screw through a board into timber holds, EN 1995-1-1 8.7.2 and 8.2.

    Units: ``diameter``, ``penetration``, ``gap`` mm.
    """
    f = factors(rules)
    kmod = f.kmod_for(str(rules.value("hung.load_duration")))
    rho = float(rules.value("pattress.density")) if pattress else timber_class(rules).rho_k
    root = float(rules.value("hung.root_share")) * diameter
    pull = withdrawal(
        diameter, penetration, rho, declared=float(rules.value("hung.declared_withdrawal")),
        declared_density=float(rules.value("hung.declared_density")), root=root,
        least=0.0 if pattress else float(rules.value("hung.penetration_diameters")),
    )  # fmt: skip
    effective = ROOT_IN_SHEAR * root
    bend = yield_moment(float(rules.value("hung.screw_strength")), effective)
    side = shear_over_gap(gap, penetration, embedment(rho, effective), effective, bend)
    scale = kmod / f.gamma_m_connection
    return ScrewStrength(pull.capacity * scale, side.capacity * scale, pull.notes)


@lru_cache(maxsize=256)
def end_screw_strength(rules: Rules, length: float, thickness: float, end_grain: bool) -> float:
    """Return what one framing screw at a noggin's or pattress's end carries across it [N], EN 1995-1-1 8.2.2.

    Design strength. Units: ``length``, ``thickness`` mm.
    """
    f = factors(rules)
    kmod = f.kmod_for(str(rules.value("hung.load_duration")))
    diameter = rules.tenths("fixing.frame_screw_diameter") / MM
    effective = ROOT_IN_SHEAR * float(rules.value("hung.root_share")) * diameter
    into = length - thickness
    if into <= 0:
        return 0.0
    fh = embedment(timber_class(rules).rho_k, effective)
    bend = yield_moment(float(rules.value("hung.screw_strength")), effective)
    strength = single_shear(thickness, into, fh, fh, effective, bend).capacity
    share = float(rules.value("fixing.end_grain_share")) if end_grain else 1.0
    return strength * share * kmod / f.gamma_m_connection


def holder(members: tuple[Member, ...], side: str, x: int, y: int) -> Member | None:
    """Return the timber behind a fixing point: the piece whose edges are furthest from it.

    Units: ``x``, ``y`` 0.1 mm.
    """
    there = [m for m in members if side in m.faces and covers(m, x, y)]
    return max(there, key=lambda m: (edge_distance(m, x, y), m.role == "pattress", m.mark), default=None)


def edge_distance(member: Member, x: int, y: int) -> int:
    """Return the distance from a point to the nearest long edge of a piece, of a pattress any edge, 0.1 mm."""
    across, along = edge_room(member, x, y)
    if member.role == "pattress":
        return min(across, along)
    return across if stands(member) else along
