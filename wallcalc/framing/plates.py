"""Sole plates and head plates: stopped at doors, joined where they are longer than the timber on sale.

All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from wallcalc.errors import OptionError, Refusal
from wallcalc.geometry.rectangles import Clear
from wallcalc.units.lengths import MM


def sole_runs(length: int, clears: Sequence[Clear]) -> list[tuple[int, int]]:
    """Return the stretches of floor that carry a sole plate: the wall's length less its doors."""
    edges = [0]
    for clear in clears:
        if clear.kind == "door":
            edges += [clear.left, clear.right]
    edges.append(length)
    return [(a, b) for a, b in zip(edges[::2], edges[1::2], strict=True) if b > a]


def split_plate(
    start: int,
    end: int,
    longest: int,
    places: Sequence[Sequence[int]],
    taken: Collection[int],
    least: int,
    role: str,
) -> list[tuple[int, int]]:
    """Return the pieces of one plate, as few as possible, the first ones as long as possible.

    Parameters
    ----------
    start, end : int
        The plate's ends, 0.1 mm.
    longest : int
        Longest piece that can be cut, 0.1 mm.
    places : sequence of sequence of int
        Where a joint may fall (both ends can be fixed close to it), the preferred places first.
    taken : collection of int
        Places where the other plate has a joint.
    least : int
        Shortest piece that takes enough fixings, 0.1 mm.
    role : str
        For the message.

    Raises
    ------
    OptionError
        When no place for a joint is within reach.
    """
    rank = {x: n for n, group in reversed(list(enumerate(places))) for x in group if x not in taken}
    joints = sorted(x for x in rank if start + least <= x <= end - least)
    # from each place to the end: pieces, joints at places of second choice, and (first ones long) the next joint
    ways: dict[int, tuple[int, int, int]] = {}
    for at in [*reversed(joints), start]:
        if end - at <= longest:
            ways[at] = (1, 0, -end)
            continue
        further = [
            (ways[x][0] + 1, ways[x][1] + rank[x], -x)
            for x in joints
            if least <= x - at <= longest and x in ways
        ]
        if further:
            ways[at] = min(further)
    if start not in ways:
        raise OptionError(
            [
                Refusal(
                    "plate joint",
                    f"{role} from {start / MM:g} mm",
                    f"no place for a joint within the longest timber on sale ({longest / MM:g} mm)",
                    "add longer timber to the price book",
                )
            ]
        )
    pieces = []
    at = start
    while at != end:
        after = -ways[at][2]
        pieces.append((at, after))
        at = after
    return pieces
