"""Sole plates and head plates: stopped at doors, joined where they are longer than the timber on sale.

All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from wallcalc.errors import OptionError, Refusal
from wallcalc.given import MM
from wallcalc.records import Clear


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
    pieces = []
    at = start
    while end - at > longest:
        reach = [
            [x for x in group if at + least <= x <= min(at + longest, end - least) and x not in taken]
            for group in places
        ]
        usable = next((group for group in reach if group), None)
        if usable is None:
            raise OptionError(
                [
                    Refusal(
                        "plate joint",
                        f"{role} from {at / MM:g} mm",
                        f"no place for a joint within the longest timber on sale ({longest / MM:g} mm)",
                        "add longer timber to the price book",
                    )
                ]
            )
        pieces.append((at, max(usable)))
        at = max(usable)
    pieces.append((at, end))
    return pieces
