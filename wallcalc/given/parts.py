"""What a wall is given with: rooms, openings, hung items, services, joists, the way in, and the words for them.

All lengths are integers of 0.1 mm, masses are floats in kg.
"""

from __future__ import annotations

from dataclasses import dataclass, field

ROOM_USES = (
    "utility",
    "bathroom",
    "wc",
    "en-suite",
    "bedroom",
    "living",
    "kitchen",
    "hall",
    "office",
    "other",
)
OPENING_KINDS = ("door", "hatch")
BACKINGS = ("any", "stud", "noggin", "pattress")
SIDES = ("A", "B")
JOIST_DIRECTIONS = ("across", "along", "unknown", "solid")
END_KINDS = ("masonry", "lined stud", "unknown")
FLOOR_KINDS = ("timber", "solid", "heated screed", "unknown")
CEILING_KINDS = ("boarded", "bare joists", "unknown")
FINISHES = ("taped", "skim")
SERVICE_KINDS = ("pipe", "waste", "cable", "socket", "other")
SERVICE_WAYS = ("through", "down", "up", "not told")


@dataclass(frozen=True, slots=True)
class Room:
    """A room on one side of the wall.

    ``use`` is one of :data:`ROOM_USES`; ``tiled_to`` is the height of tiling in 0.1 mm (0: none),
    ``tile_mass`` the mass of the tile alone in kg/m2.
    """

    name: str = ""
    use: str = "other"
    wet: bool = False
    tiled_to: int = 0
    tile_mass: float = 0.0


@dataclass(frozen=True, slots=True)
class Opening:
    """A door or a hatch, as written in the wall file.

    ``left`` is the left edge of the structural opening. Either ``leaf`` (leaf width; the structural size
    follows by rule) or ``width`` and ``height`` as built are given; ``height`` is the height of the opening
    itself (for a door, from the floor), ``sill`` the height of a hatch's lower edge. ``leaf_mass`` in kg and
    ``rating`` (Rw of the door set, dB) are None when not known.
    """

    kind: str
    left: int
    leaf: int | None = None
    width: int | None = None
    height: int | None = None
    sill: int | None = None
    leaf_mass: float | None = None
    rating: float | None = None


@dataclass(frozen=True, slots=True)
class HungItem:
    """Something the wall has to carry; fixing points are (x, y) pairs.

    Where a level fixing line is given instead of points, ``line`` is its two ends and ``line_centres`` the most
    that its fixings may be apart; ``fixings`` then holds the points taken along it, both ends among them. ``pad`` is
    the side of the square plate behind each fixing that has to lie on timber with the screw (0: the screw alone).
    """

    name: str
    side: str
    fixings: tuple[tuple[int, int], ...]
    mass: float
    extra: float = 0.0
    projection: int = 0
    backing: str = "any"
    kind: str = ""
    pad: int = 0
    line: tuple[tuple[int, int], tuple[int, int]] | None = None
    line_centres: int = 0


@dataclass(frozen=True, slots=True)
class Service:
    """A pipe, cable or box that comes through a lining at ``at`` on ``side``.

    ``kind`` is one of :data:`SERVICE_KINDS`; a "waste" pipe runs with a fall. ``diameter`` is that of a pipe or
    cable, or the larger side of a box, whose width and height are ``size`` where they are given. ``to`` is the
    other end of a run inside the wall (None: none), ``goes`` how it leaves the place where it comes through or the
    run ends: one of :data:`SERVICE_WAYS`.
    """

    name: str
    side: str
    at: tuple[int, int]
    diameter: int
    clearance: int = 0
    kind: str = "pipe"
    size: tuple[int, int] | None = None
    to: tuple[int, int] | None = None
    goes: str = "not told"

    @property
    def opening(self) -> tuple[int, int, int, int]:
        """What it fills of the lining it comes through: left, bottom, right, top, 0.1 mm."""
        width, height = self.size or (self.diameter, self.diameter)
        left, bottom = self.at[0] - width // 2, self.at[1] - height // 2
        return left, bottom, left + width, bottom + height


@dataclass(frozen=True, slots=True)
class Joists:
    """Joists above or below: direction relative to the wall, first one from the left, centres."""

    direction: str = "unknown"
    first: int | None = None
    centres: int | None = None


@dataclass(frozen=True, slots=True)
class Access:
    """The narrowest door or stair on the way in for the sheets, and the landing to turn on behind it.

    ``width`` and ``height`` are clear; all in 0.1 mm (0: not known).
    """

    width: int = 0
    height: int = 0
    landing: int = 0


@dataclass(frozen=True, slots=True)
class GivenWall:
    """The record of a wall, without its file; see :class:`wallcalc.given.wall.Wall`."""

    name: str
    length: int
    heights: tuple[tuple[int, int], ...]
    room_a: Room = field(default_factory=Room)
    room_b: Room = field(default_factory=Room)
    openings: tuple[Opening, ...] = ()
    hung: tuple[HungItem, ...] = ()
    services: tuple[Service, ...] = ()
    joists_above: Joists = field(default_factory=Joists)
    joists_below: Joists = field(default_factory=Joists)
    finish: str = "taped"
    ceiling: str = "unknown"
    floor: str = "unknown"
    left_end: str = "unknown"
    right_end: str = "unknown"
    floor_build_up: int = 0
    skirting: int = 0
    access: Access = field(default_factory=Access)
    floor_levels: tuple[tuple[int, int], ...] = ()

    @property
    def height(self) -> int:
        """The least floor-to-ceiling height, 0.1 mm."""
        return min(h for _, h in self.heights)

    @property
    def is_level(self) -> bool:
        """Whether the height is the same all along."""
        return len({h for _, h in self.heights}) == 1


def is_box(service: Service) -> bool:
    """Return whether a service fills a rectangle of the lining (a box) and not a round hole."""
    return service.size is not None or service.kind == "socket"


def from_box(cable: Service, box: Service) -> bool:
    """Return whether a cable begins in a box of its own side, so that it needs no hole of its own there."""
    if cable.kind != "cable" or not is_box(box) or cable.side != box.side:
        return False
    (x1, y1, x2, y2), (left, bottom, right, top) = cable.opening, box.opening
    return left <= x1 and x2 <= right and bottom <= y1 and y2 <= top
