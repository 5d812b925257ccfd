"""The pieces of a frame with their marks: plates, uprights, timber over and under openings, noggins.

Studs stand plumb between plates that follow floor and ceiling, their ends cut to the slope; noggins, door heads and
sills stay level. All lengths are integers of 0.1 mm.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from wallcalc.errors import OptionError, Refusal
from wallcalc.framing.noggin_rows import FAR, Noggin
from wallcalc.framing.plates import Joining, Outline, plate_outlines, sole_runs
from wallcalc.framing.tapers import cut_length, is_square
from wallcalc.geometry.sloped import between
from wallcalc.records import LEVEL, OPENING, PLATES, Member, Purpose, Upright
from wallcalc.site.site import Site
from wallcalc.units.lengths import MM

PREFIX = {
    "sole plate": "SP",
    "head plate": "HP",
    "end stud": "ES",
    "stud": "S",
    "double stud": "DS",
    "jamb stud": "JS",
    "trimmer": "TR",
    "short stud": "SS",
    "door head": "DH",
    "sill": "SL",
}
"""How marks begin, by role; noggins are marked by row and bay, pattresses P."""


@dataclass(slots=True)
class _Marking:
    """Makes members of a site, marked in the order they are made."""

    site: Site
    count: Counter[str] = field(default_factory=Counter)

    def member(self, role: str, outline: Outline, serves: tuple[Purpose, ...] = ()) -> Member:
        """Return a piece of an outline."""
        self.count[role] += 1
        site, mark = self.site, f"{PREFIX[role]}{self.count[role]}"
        return shaped(
            Member(mark, role, site.section, 0, 0, 0, 0, 0, depth=site.depth, serves=serves), outline
        )


def members_of(site: Site, uprights: Sequence[Upright], noggins: Sequence[Noggin]) -> list[Member]:
    """Return the members of a frame: plates, uprights, heads and sills, noggins; identical ones share a cut group.

    Raises OptionError: where a plate cannot be joined, or an upright is longer than the timber on sale.
    """
    make = _Marking(site)
    members = [
        *_plates(make, uprights),
        *(make.member(u.role, outline, u.serves) for u in uprights for outline in _upright_outlines(u, site)),
        *_at_openings(make),
        *(_noggin(n, site) for n in noggins),
    ]
    _check_lengths(members, site.longest)
    return _grouped(members)


def shaped(member: Member, outline: Outline) -> Member:
    """Return a member with an outline, its rectangle and length made to fit; a rectangle leaves it square-cut."""
    xs, ys = [x for x, _ in outline], [y for _, y in outline]
    x, y = min(xs), min(ys)
    width, height = max(xs) - x, max(ys) - y
    square = is_square(outline)
    found = replace(member, x=x, y=y, width=width, height=height, outline=() if square else tuple(outline))
    level = member.role in (*PLATES, *LEVEL)
    return replace(found, length=(width if level else height) if square else cut_length(found))


def _plates(make: _Marking, uprights: Sequence[Upright]) -> list[Member]:
    """Sole plates, then the head plate, its joints away from theirs."""
    site, t = make.site, make.site.thickness
    full = [u for u in uprights if u.zone < 0 and u.role != "end stud"]
    studs = [u.line for u in full if u.role != "jamb stud"]
    others = [u.line for u in full if u.role == "jamb stud"]  # where no other stud is within reach
    least = site.rules.plate_least_fixings * site.rules.plate_end_fixing
    places = (studs, others)
    found: list[Member] = []
    joints: list[int] = []
    for run in sole_runs(site.length, site.clears):
        pieces = plate_outlines(site.profile, run, t, Joining("sole plate", site.longest, least, places))
        made = [make.member("sole plate", outline) for outline in pieces]
        joints += [m.right for m in made if m.right != run[1]]
        found += made
    if site.plate_places is not None:
        places = (site.plate_places,)
    near = {x for group in places for x in group for s in joints if abs(x - s) < t}
    over = Joining("head plate", site.longest, least, places, near)
    return found + [
        make.member("head plate", outline)
        for outline in plate_outlines(site.profile, (0, site.length), t, over)
    ]


def _upright_outlines(u: Upright, site: Site) -> list[Outline]:
    """Outlines of the pieces of one upright, bottom up: one, or those over and under an opening."""
    profile, t = site.profile, site.thickness
    stretches = [(-FAR, FAR)]
    if u.zone >= 0:
        clear = site.clears[u.zone]
        if u.role == "trimmer":
            stretches = [(-FAR, clear.top)]
        else:
            stretches = [(clear.top + t, FAR)]
            if clear.kind == "hatch" and clear.bottom - t > profile.sole.most(u.x, u.right):
                stretches.insert(0, (-FAR, clear.bottom - t))
    return [
        patch.outline
        for bottom, top in stretches
        for patch in between((u.x, bottom, u.right, top), (), profile.sole, profile.head)
    ]


def _at_openings(make: _Marking) -> Iterator[Member]:
    """Door heads and sills, where no plate is in their place."""
    profile, t, bearing = make.site.profile, make.site.thickness, make.site.bearing
    for c in make.site.clears:
        if c.top < profile.head.least(c.left, c.right):
            yield make.member(
                "door head", _box(c.left - bearing, c.top, c.right + bearing, c.top + t), (OPENING,)
            )
        if c.kind == "hatch" and c.bottom > profile.sole.most(c.left, c.right):
            yield make.member("sill", _box(c.left, c.bottom - t, c.right, c.bottom), (OPENING,))


def _box(left: int, bottom: int, right: int, top: int) -> Outline:
    return (left, bottom), (right, bottom), (right, top), (left, top)


def _noggin(n: Noggin, site: Site) -> Member:
    piece = Member(
        f"N{n.row}.{n.bay}{n.part}",
        "noggin",
        site.section,
        n.x,
        n.y,
        n.width,
        n.height,
        length=n.width,
        depth=site.thickness if n.flat else site.depth,
        faces=n.faces,
        serves=n.serves,
        flat=n.flat,
    )
    return shaped(piece, n.outline) if n.outline else piece


def _check_lengths(members: Sequence[Member], longest: int) -> None:
    """Refuse uprights longer than what can be cut from the timber on sale, naming the longest."""
    worst = max((m for m in members if m.role not in PLATES), key=lambda m: m.length)
    if worst.length > longest:
        raise OptionError(
            [
                Refusal(
                    "stud length",
                    f"{worst.role} at {worst.x / MM:g} mm",
                    f"a piece of {worst.length / MM:g} mm, the longest that can be cut is {longest / MM:g} mm",
                    "add longer timber to the price book",
                )
            ]
        )


def _grouped(members: Sequence[Member]) -> list[Member]:
    """Give identical pieces one cut group, named after the first of them."""
    groups: dict[tuple, str] = {}
    return [
        replace(m, cut_group=groups.setdefault((m.section, m.length, *_taper(m)), f"T{len(groups) + 1}"))
        for m in members
    ]


def _taper(m: Member) -> tuple:
    """Tell pieces of one length apart that are cut to a slope: by their outlines, either way round."""
    if not m.outline:
        return ()
    seen = sorted((x - m.x, y - m.y) for x, y in m.outline)
    return tuple(min(seen, sorted((m.right - x, y - m.y) for x, y in m.outline)))
