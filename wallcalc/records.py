"""What a design is made of: one small record a piece, lengths as integers of 0.1 mm.

Coordinates are the elevation seen from side A: x from the left end of the clear opening, y up from the floor.
Side B is stored in the same coordinates.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

from wallcalc.geometry.profile import Profile
from wallcalc.geometry.rectangles import Clear

ROLES = (
    "sole plate",
    "head plate",
    "end stud",
    "stud",
    "double stud",
    "jamb stud",
    "trimmer",
    "short stud",
    "door head",
    "sill",
    "noggin",
    "pattress",
)

FULL_HEIGHT = ("end stud", "stud", "double stud", "jamb stud")
"""Roles of what stands from plate to plate."""
UPRIGHT = (*FULL_HEIGHT, "trimmer", "short stud")
"""Roles of what stands upright."""
PLATES = ("sole plate", "head plate")
LEVEL = ("noggin", "pattress", "door head", "sill")
"""Roles of what lies level, plates apart."""


class Purpose(str):
    """Why a piece of timber is there: words to read, and what they are about for whoever has to tell purposes apart.

    ``kind`` is "module", "layout", "stability", "opening", "joint", "item", "moved" or "added" (both for services);
    ``subject`` names the hung item or the services. Two purposes are alike when words and kind are, so an item that is
    called "module" stays an item; a plain string is compared with the words alone.
    """

    kind: str
    subject: tuple[str, ...]

    def __new__(cls, words: str, kind: str, *subject: str) -> Purpose:
        """Return words of a kind about a subject."""
        made = super().__new__(cls, words)
        made.kind, made.subject = kind, subject
        return made

    def __eq__(self, other: object) -> bool:
        return str.__eq__(self, other) is True and getattr(other, "kind", self.kind) == self.kind

    def __ne__(self, other: object) -> bool:
        return not self == other

    __hash__ = str.__hash__

    def __reduce__(self) -> tuple[type, tuple[str, ...]]:
        """Travel between processes whole."""
        return Purpose, (str(self), self.kind, *self.subject)


MODULE = Purpose("module", "module")
LAYOUT = Purpose("layout", "layout")
STABILITY = Purpose("stability", "stability")
OPENING = Purpose("opening", "opening")

NEEDED_ANYWAY = ("module", "layout", "stability", "opening")
"""Kinds of purposes that every frame has."""
FOR_SERVICES = ("moved", "added")
"""Kinds of purposes of timber moved or added for services."""


def for_joint(words: str) -> Purpose:
    """Return the purpose of timber behind a joint of boards, which the words tell."""
    return Purpose(words, "joint")


def for_item(name: str) -> Purpose:
    """Return the purpose of timber that a hung item is fixed to."""
    return Purpose(name, "item", name)


def moved_for(way: str, services: Sequence[str]) -> Purpose:
    """Return the purpose of timber moved for services: ``way`` tells how far and which way."""
    return Purpose(f"moved {way} for {' and '.join(services)}", "moved", *services)


def added_beside(services: Sequence[str]) -> Purpose:
    """Return the purpose of timber added beside services."""
    return Purpose(f"added beside {' and '.join(services)}", "added", *services)


EDGES = ("left", "right", "top", "bottom")


@dataclass(frozen=True, slots=True)
class Member:
    """One piece of timber: the rectangle it fills in elevation and how it is cut.

    ``depth`` is its size through the wall, ``faces`` the linings it touches ("A", "B" or "AB"; a flat noggin
    backs one face only). ``length`` is what is cut. ``serves`` says why it is there. ``flat`` is True for a
    noggin laid with its wide face to the board. ``outline`` lists the corners (x, y), anticlockwise, of a piece cut to
    a slope, whose bounding rectangle the rectangle then is and whose ``length`` runs from point to point; it is empty
    for a square-cut piece.
    """

    mark: str
    role: str
    section: str
    x: int
    y: int
    width: int
    height: int
    length: int
    depth: int
    faces: str = "AB"
    serves: tuple[Purpose, ...] = ()
    flat: bool = False
    cut_group: str = ""
    outline: tuple[tuple[int, int], ...] = ()

    @property
    def right(self) -> int:
        """Right edge, 0.1 mm."""
        return self.x + self.width

    @property
    def top(self) -> int:
        """Top edge, 0.1 mm."""
        return self.y + self.height

    @property
    def corners(self) -> tuple[tuple[int, int], ...]:
        """Corners anticlockwise, of the outline or the rectangle, 0.1 mm."""
        right, top = self.x + self.width, self.y + self.height
        return self.outline or ((self.x, self.y), (right, self.y), (right, top), (self.x, top))


@dataclass(frozen=True, slots=True, order=True)
class CutOut:
    """A rectangle cut out of a board's blank for an opening, from which other boards may come.

    Position (``along``, ``across``) is its first corner in the blank's own frame: along the sheet's long direction
    and across it, seen from the board's face with along to the right and across downwards, as the cutting plans are
    drawn, so that what is cut face up fits its side. ``bound`` counts its long edges that are bound.
    """

    along: int
    across: int
    length: int
    width: int
    bound: int


@dataclass(frozen=True, slots=True)
class Pierce:
    """A hole in a board for a service that comes through it.

    Its middle (x, y) in the elevation seen from side A, its width and height; ``round`` tells a round hole from one
    for a box. All in 0.1 mm.
    """

    service: str
    x: int
    y: int
    width: int
    height: int
    round: bool

    @property
    def rect(self) -> tuple[int, int, int, int]:
        """Its bounding rectangle: left, bottom, right, top, 0.1 mm."""
        left, bottom = self.x - self.width // 2, self.y - self.height // 2
        return left, bottom, left + self.width, bottom + self.height

    @property
    def area(self) -> float:
        """What it takes off a board, (0.1 mm)^2."""
        return self.width * self.height * (math.pi / 4 if self.round else 1.0)


@dataclass(frozen=True, slots=True)
class Hole:
    """A hole bored through a member for a service.

    ``axis`` tells which way the pipe goes: "x" along the wall through an upright, "y" up and down through a noggin
    or a plate. (x, y) is its middle in elevation; lengths in 0.1 mm.
    """

    member: str
    service: str
    x: int
    y: int
    diameter: int
    axis: str


@dataclass(frozen=True, slots=True)
class Board:
    """One piece of board as fixed.

    ``outline`` lists its corners anticlockwise from the lower left as (x, y). ``bound_edges`` is a subset of
    :data:`EDGES` in that order: which of the outermost edges are bound. ``lying`` is True when the sheet's long
    direction runs along the wall. ``product`` is the price book's product ("standard-12.5").
    ``need_bound`` is the number of bound long edges (0, 1 or 2) its blank has to bring. ``holes`` are openings wholly
    inside it, ``pierced`` the holes for services.
    """

    mark: str
    side: str
    layer: int
    course: int
    product: str
    x: int
    y: int
    width: int
    height: int
    outline: tuple[tuple[int, int], ...]
    bound_edges: tuple[str, ...]
    lying: bool
    need_bound: int
    cut_outs: tuple[CutOut, ...] = ()
    holes: tuple[tuple[int, int, int, int], ...] = ()
    cut_group: str = ""
    pierced: tuple[Pierce, ...] = ()

    @property
    def right(self) -> int:
        """Right edge of the bounding rectangle, 0.1 mm."""
        return self.x + self.width

    @property
    def top(self) -> int:
        """Top edge of the bounding rectangle, 0.1 mm."""
        return self.y + self.height

    @property
    def along(self) -> int:
        """Size of the blank along the sheet's long direction, 0.1 mm."""
        return self.width if self.lying else self.height

    @property
    def across(self) -> int:
        """Size of the blank across the sheet, 0.1 mm."""
        return self.height if self.lying else self.width

    @property
    def area2(self) -> int:
        """Twice the area in units of (0.1 mm)^2, holes not taken off (shoelace formula, exact)."""
        pts = self.outline
        return sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in zip(pts, pts[1:] + pts[:1], strict=True))

    def from_face(self, hole: Pierce) -> tuple[int, int]:
        """Return where a hole's middle is on the board seen from its face: from its left and bottom edge, 0.1 mm."""
        across = hole.x - self.x if self.side == "A" else self.right - hole.x
        return across, hole.y - self.y


@dataclass(frozen=True, slots=True)
class Joint:
    """A line where two boards of one layer of one side meet, or where a board meets a corner.

    ``kind`` is "bound-bound", "bound-cut", "cut-cut" or "corner". ``backed_by`` lists marks of members.
    ``need`` is the width of timber the joint needs behind it, 0.1 mm (0 for corners).
    """

    side: str
    layer: int
    x1: int
    y1: int
    x2: int
    y2: int
    kind: str
    backed_by: tuple[str, ...] = ()
    need: int = 0

    @property
    def length(self) -> int:
        """Length of the joint, 0.1 mm; along the slope where it slopes."""
        if self.x1 != self.x2 and self.y1 != self.y2:
            return round(math.hypot(self.x2 - self.x1, self.y2 - self.y1))
        return abs(self.x2 - self.x1) + abs(self.y2 - self.y1)


@dataclass(frozen=True, slots=True)
class SlabPiece:
    """The fill of one bay: its rectangle, the slab thickness, and the pieces it is made of.

    ``pieces`` lists (length, width) of each piece of slab; ``how`` is "friction", "cut" or "pieced". ``outline`` lists
    the corners of a bay with a sloping side, whose bounding rectangle the rectangle then is.
    """

    mark: str
    x: int
    y: int
    width: int
    height: int
    thickness: int
    pieces: tuple[tuple[int, int], ...]
    how: str
    outline: tuple[tuple[int, int], ...] = ()

    @property
    def corners(self) -> tuple[tuple[int, int], ...]:
        """Corners anticlockwise, of the outline or the rectangle, 0.1 mm."""
        right, top = self.x + self.width, self.y + self.height
        return self.outline or ((self.x, self.y), (right, self.y), (right, top), (self.x, top))

    @property
    def area(self) -> float:
        """Clear area of the bay, (0.1 mm)^2."""
        pts = self.outline
        if not pts:
            return self.width * self.height
        return sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2) in zip(pts, pts[1:] + pts[:1], strict=True)) / 2


@dataclass(frozen=True, slots=True)
class CheckRow:
    """One check: demand against limit, with its source.

    ``use`` is demand / limit where 1.0 is the limit (None where it has no meaning), ``verdict`` is "ok",
    "caution", "fail" or "not known".
    """

    check: str
    subject: str
    case: str
    value: float | str | None
    limit: float | str | None
    unit: str
    use: float | None
    verdict: str
    why: str
    source: str
    source_status: str


@dataclass(frozen=True, slots=True)
class OrderLine:
    """One line of the take-off; money in cents, net of tax.

    ``needed`` is what the wall takes, ``bought`` the number of ``unit`` bought, ``pack`` the number of needed
    units in one bought unit.
    """

    item: str
    code: str
    group: str
    description: str
    unit: str
    pack: float
    needed: float
    bought: int
    unit_price: int
    cost: int


@dataclass(frozen=True, slots=True)
class Mark:
    """A setting-out mark: running dimensions from both ends, 0.1 mm.

    ``axis`` is "x" (along the wall, measured from left and right) or "y" (height, from the floor and from the
    ceiling); ``edge`` is "left", "centre", "right", "bottom", "top" or "line".
    """

    mark: str
    role: str
    axis: str
    edge: str
    from_left: int
    from_right: int


@dataclass(frozen=True, slots=True)
class JoistNoggin:
    """A piece of timber let in between two joists that run along the wall, for a plate to be fixed to.

    It lies outside the wall, across it; ``x`` is where its middle crosses the wall, ``length`` what is cut, 0.1 mm.
    ``place`` tells whose joists they are: "above" for the head plate, "below" for the sole plate.
    """

    mark: str
    section: str
    x: int
    length: int
    place: str = "above"


@dataclass(frozen=True, slots=True)
class Cleat:
    """A piece of stud timber screwed upright to a stud's side behind the end of a pattress, which is screwed to it.

    Its lower left corner (x, y) in elevation; ``length`` is what is cut, ``depth`` what it is ripped to, so that it
    fills the wall behind the pattress. ``serves`` names the pattresses. Lengths in 0.1 mm.
    """

    mark: str
    section: str
    x: int
    y: int
    length: int
    depth: int
    serves: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Frame:
    """The frame and linings of a wall: what every later stage works from.

    ``profile`` holds the lines of floor and ceiling.
    ``joist_noggins``, outside the wall, and ``cleats``, behind pattresses, are cut and bought with the members.
    """

    profile: Profile
    clears: tuple[Clear, ...]
    members: tuple[Member, ...]
    boards: tuple[Board, ...]
    joints: tuple[Joint, ...]
    notes: tuple[str, ...] = field(default=())
    joist_noggins: tuple[JoistNoggin, ...] = field(default=())
    holes: tuple[Hole, ...] = field(default=())
    cleats: tuple[Cleat, ...] = field(default=())

    @property
    def length(self) -> int:
        """Length of the wall, 0.1 mm."""
        return self.profile.length

    @property
    def height(self) -> int:
        """Height of the highest ceiling, 0.1 mm."""
        return self.profile.highest

    @property
    def loose(self) -> tuple[JoistNoggin | Cleat, ...]:
        """Pieces of timber that are cut and bought with the members."""
        return *self.joist_noggins, *self.cleats


@dataclass(frozen=True, slots=True)
class Upright:
    """A stud in plan: where it stands along the wall and what it is.

    ``zone`` is -1 for a full-height stud, else the index (in the tuple of openings) of the opening above or
    below which it stands. ``line`` is the position joints are set to: the stud's middle.
    """

    x: int
    right: int
    role: str
    zone: int = -1
    serves: tuple[Purpose, ...] = ()

    @property
    def line(self) -> int:
        """The stud's middle, 0.1 mm."""
        return (self.x + self.right) // 2


@dataclass(frozen=True, slots=True)
class Bar:
    """One bought length of timber and what is cut from it, in order."""

    code: str
    section: str
    length: int
    cuts: tuple[tuple[str, int], ...]
    offcut: int
    kerf_loss: int


@dataclass(frozen=True, slots=True)
class SheetCut:
    """A blank cut from a sheet: mark, position along and across the sheet, size.

    ``parent`` is the board whose cut-out it comes from (None: from the sheet itself).
    """

    mark: str
    x: int
    y: int
    length: int
    width: int
    parent: str | None = None


@dataclass(frozen=True, slots=True)
class Leftover:
    """A rectangle left of a sheet: position along and across, size, number of bound long edges."""

    x: int
    y: int
    length: int
    width: int
    bound: int


@dataclass(frozen=True, slots=True)
class SheetUse:
    """One bought sheet (or slab) and what is cut from it."""

    code: str
    length: int
    width: int
    cuts: tuple[SheetCut, ...]
    leftovers: tuple[Leftover, ...] = ()


@dataclass(frozen=True, slots=True)
class CutPlan:
    """A cutting plan of one material with its proof.

    ``cost`` and ``lower_bound`` are in cents; ``proven`` is True only when the plan is shown to be the cheapest
    over ``scope``; ``method`` says how.
    """

    material: str
    uses: tuple[Bar, ...] | tuple[SheetUse, ...]
    cost: int
    lower_bound: int
    proven: bool
    scope: str
    method: str
