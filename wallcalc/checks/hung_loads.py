"""Loads of hung items and the forces they put on their fixings: plain mechanics of a bracket on a wall."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from wallcalc.given.parts import HungItem
from wallcalc.trade.rules import Rules
from wallcalc.units.lengths import MM

DOWN, OUT, ANY = "down", "out", "any"


@dataclass(frozen=True, slots=True)
class ItemLoad:
    """One load case of a hung item, characteristic.

    Attributes
    ----------
    case : str
        In words.
    down, out : float
        Forces on the whole item, down the wall and away from it [N].
    arm : float
        Distance of the downward force from the board's face [mm].
    source, status : str
        Where the load comes from.
    """

    case: str
    down: float
    out: float
    arm: float
    source: str
    status: str

    @property
    def moment(self) -> float:
        """Moment that turns the item away from the wall [N.mm]."""
        return self.down * self.arm


def kind_of(item: HungItem, rules: Rules) -> str:
    """Return the kind of a hung item as the rules name it ("" for none).

    As it is given, else by the first word of the kind given or of the name that the rules know: a towel rail is no grab
    rail, nor a mirror over a basin a basin.
    """
    rows = rules.rows("hung_load")
    given = item.kind.lower()
    if given:
        for row in rows:
            if given == row["kind"] or given in row["words"]:
                return str(row["kind"])
    known = {word: str(row["kind"]) for row in rows for word in row["words"]}
    words = (item.kind + " " + item.name).lower().replace("-", " ").split()
    return next((known[word] for word in words if word in known), "")


@lru_cache(maxsize=256)
def item_loads(item: HungItem, rules: Rules) -> tuple[ItemLoad, ...]:
    """Return the load cases of a hung item: its own mass with what it holds, never less than the rule for its kind.

    The downward case first; a pull away from the wall is a case of its own, with the item hanging meanwhile.
    """
    own = (item.mass + item.extra) * float(rules.value("loads.gravity"))
    arm = item.projection / 2 / MM + rules.tenths("hung.offset_from_wall") / MM
    down = ItemLoad("its mass and what it holds", own, 0.0, arm, "the wall file", "given")
    pulls = []
    kind = kind_of(item, rules)
    for row in rules.rows("hung_load"):
        if row["kind"] != kind:
            continue
        load = float(row["load"])
        if row["direction"] in (DOWN, ANY) and load > down.down:
            down = ItemLoad(f"{kind}: {load:g} N down", load, 0.0, arm, row["source"], row["status"])
        if row["direction"] in (OUT, ANY):
            pulls.append(
                ItemLoad(
                    f"{kind}: {load:g} N away from the wall", own, load, arm, row["source"], row["status"]
                )
            )
    return (down, *pulls)


def in_the_end(item: HungItem, load: ItemLoad, kdef: float, psi_2: float, gravity: float) -> ItemLoad:
    """Return a load scaled for its deflection in the end, EN 1995-1-1 2.2.3(5).

    What hangs there all the time grows by 1 + kdef, all else by 1 + psi2 kdef.

    Units: ``gravity`` m/s2.
    """
    stays = min(item.mass * gravity, load.down)
    passing = 1 + psi_2 * kdef
    down = stays * (1 + kdef) + (load.down - stays) * passing
    return ItemLoad(load.case, down, load.out * passing, load.arm, load.source, load.status)


@dataclass(frozen=True, slots=True)
class FixingForce:
    """What one fixing takes [N]: along the wall and out of it."""

    x: int
    y: int
    down: float
    pull: float


def fixing_forces(item: HungItem, load: ItemLoad, couple_arm: float) -> tuple[FixingForce, ...]:
    """Return what each fixing takes of a load.

    The downward force is shared equally. The moment is a couple: the item bears on the wall at its lower edge,
    below the lowest fixings, and each fixing pulls in proportion to its height above that edge.

    Units: ``item`` 0.1 mm; ``couple_arm`` mm.
    """
    points = item.fixings
    count = len(points)
    arm = item.pad / 2 / MM if item.pad > 0 else couple_arm
    edge = min(y for _, y in points) / MM - arm
    heights = [y / MM - edge for _, y in points]
    squares = sum(h * h for h in heights)
    return tuple(
        FixingForce(x, y, load.down / count, load.out / count + load.moment * h / squares)
        for (x, y), h in zip(points, heights, strict=True)
    )
