"""Timber that carries a hung item: the noggin or pattress its fixings are in, and the studs at both ends."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from wallcalc.checks.hung_loads import FixingForce
from wallcalc.checks.strength_values import factors, strengths, timber, timber_class
from wallcalc.checks.supports import StudLine
from wallcalc.records import Member
from wallcalc.strength.beam import AppliedMoment, Beam, PointLoad, shear_stiffness
from wallcalc.strength.loads import effects
from wallcalc.strength.timber_ec5 import Section, bending_stress, buckling
from wallcalc.trade.rules import Rules
from wallcalc.units.lengths import MM


@dataclass(frozen=True, slots=True)
class RailUse:
    """How a noggin or pattress fares: bending use, deflection in the end [mm], reactions at its ends [N]."""

    bending: float
    deflection: float
    span: float
    left: float
    right: float


def rail_use(
    member: Member, forces: tuple[FixingForce, ...], final: tuple[FixingForce, ...], rules: Rules
) -> RailUse:
    """Return what a noggin or pattress between two studs makes of the fixings in it, bent both ways.

    Bending by EN 1995-1-1 6.1.6, both axes with km; deflections of both axes added as at a right angle.
    """
    span = member.width / MM
    upright, flat = member.height / MM, member.depth / MM
    own = timber(rules)
    pattress = member.role == "pattress"
    modulus = float(rules.value("pattress.modulus")) if pattress else own.modulus
    shear_modulus = modulus / float(rules.value("strength.modulus_ratio")) if pattress else own.shear_modulus
    f = factors(rules)
    duration = str(rules.value("hung.load_duration"))
    uses, gives, ends = [], [], []
    for direction, depth, width in (("down", upright, flat), ("pull", flat, upright)):
        section = Section(width, depth)
        loads, lasting = (
            tuple(PointLoad((force.x - member.x) / MM, getattr(force, direction)) for force in some)
            for some in (forces, final)
        )
        stiff = (modulus * section.inertia, shear_stiffness(section.area, shear_modulus))
        beam = Beam(span, loads)
        if pattress:
            strength = float(rules.value("pattress.bending")) * f.kmod_for(duration) / f.gamma_m
        else:
            strength = strengths(rules, depth, duration, False)[0]
        uses.append(own.load_factor * bending_stress(beam.greatest_moment()[1], section) / strength)
        gives.append(effects(span, lasting, *stiff).deflection)
        ends.append(beam.reactions)
    km = float(rules.value("strength.km"))
    bending = max(uses[0] + km * uses[1], km * uses[0] + uses[1])
    left, right = ((ends[0][i] ** 2 + ends[1][i] ** 2) ** 0.5 for i in (0, 1))
    return RailUse(bending, (gives[0] ** 2 + gives[1] ** 2) ** 0.5, span, left, right)


@dataclass(frozen=True, slots=True)
class StudUse:
    """How one piece of a stud line fares with an item on it: use in bending with thrust, deflection in the end [mm]."""

    strength: float
    deflection: float
    span: float


@lru_cache(maxsize=2048)
def stud_use(
    rules: Rules,
    section: Section,
    span: float,
    height: float,
    down: float,
    moment: float,
    out: float,
    line_load: float,
    line_height: float,
    final: tuple[float, float],
) -> StudUse:
    """Return the use of one stud that carries part of an item, while people push on the wall.

    Bending by 6.1.6 with compression and buckling out of the wall's plane by 6.3.2 (the boards hold it in the
    wall's plane); either direction of the push, the worse. Units: ``span``, ``height`` mm; ``down``,
    ``moment``, ``out`` N, N.mm, N; ``line_load``, ``line_height`` N; ``final`` N.mm, N.
    """
    own, f = timber(rules), factors(rules)
    stiff = (own.modulus * section.inertia, shear_stiffness(section.area, own.shear_modulus))
    item = (AppliedMoment(height, moment), PointLoad(height, out))
    duration = str(rules.value("loads.duration" if line_load else "hung.load_duration"))
    strength = strengths(rules, section.depth, duration, False)[0]
    pushes = [PointLoad(line_height, sign * line_load) for sign in (1.0, -1.0)] if line_load else [None]
    moments = [Beam(span, item if push is None else (*item, push)).greatest_moment()[1] for push in pushes]
    worst = own.load_factor * bending_stress(max(moments), section) / strength
    found = timber_class(rules)
    kc = buckling(span, section.radius, found.fc_0_k, found.E_0_05, float(rules.value("strength.beta_c"))).kc
    thrust = own.load_factor * down / section.area / (kc * found.fc_0_k * f.kmod_for(duration) / f.gamma_m)
    stays = (AppliedMoment(height, final[0]), PointLoad(height, final[1]))
    return StudUse(worst + thrust, effects(span, stays, *stiff).deflection, span)


def shares(
    lines: tuple[StudLine, ...], members: dict[int, Member], forces: tuple[FixingForce, ...]
) -> dict[int, float]:
    """Return the part of an item that each stud line carries, by the lever between the studs on either side.

    Part (adding up to 1 where every fixing is held) by index of the line.
    """
    found: dict[int, float] = {}
    part = 1.0 / len(forces)
    for number, force in enumerate(forces):
        if number not in members:
            continue
        inside = [i for i, line in enumerate(lines) if line.left <= force.x <= line.right]
        if inside:
            found[inside[0]] = found.get(inside[0], 0.0) + part
            continue
        left = max((i for i, line in enumerate(lines) if line.right < force.x), default=None)
        right = min((i for i, line in enumerate(lines) if line.left > force.x), default=None)
        if left is None or right is None:
            continue
        gap = lines[right].left - lines[left].right
        to_right = (force.x - lines[left].right) / gap
        found[left] = found.get(left, 0.0) + part * (1 - to_right)
        found[right] = found.get(right, 0.0) + part * to_right
    return found
