"""Board screws of random walls against the rules they obey: where each stands, how far apart, and none too many.

Nothing of the counting is used here: only where boards and timber are, the rule file's distances, and the screws.
"""

from __future__ import annotations

import math
from collections import Counter
from itertools import pairwise

import pytest
import shapely
from random_uneven import uneven_case
from random_walls import build, random_case

import wallcalc as wc

DISTANCES = {
    "screw.spacing": 300, "screw.spacing_close_studs": 380, "screw.close_studs_to": 460,
    "screw.spacing_corner": 210, "screw.spacing_base_layer": 520,
}  # fmt: skip
"""All different, so that none can stand in for another."""

ROUNDED = 2
"""Heights on a slope are whole tenths of a millimetre, 0.1 mm."""

LEVEL = (1, 5, 8, 9, 10, 12, 16, 17, 28, 29, 43)
UNEVEN = (0, 1, 10, 20, 21, 28, 31, 33)


@pytest.fixture(
    scope="module",
    params=[*((random_case, s) for s in LEVEL), *((uneven_case, s) for s in UNEVEN)],
    ids=lambda p: f"{p[0].__name__}-{p[1]}",
)
def design(request):
    """A design of a random wall."""
    make, seed = request.param
    wall, option, law = make(seed)
    per_unit = {"mm": 1, "in": 25.4}
    apart = {key: mm / per_unit[law.rule(key).unit] for key, mm in DISTANCES.items()}
    found = build((wall, option, law.with_values(apart)))
    assert isinstance(found, wc.Design), found
    return found


def tenths(design, key: str) -> int:
    return round(float(design.rules.value(key)) * (254 if design.rules.rule(key).unit == "in" else 10))


def widest_centres(design) -> float:
    """The largest distance [mm] between middles of neighbouring full-height uprights, doorways left out."""
    t = design.members
    tall = t[t["role"].isin(["end stud", "stud", "double stud", "jamb stud"])]
    middles = sorted({*(tall["x"] + tall["width"] / 2)})
    doors = [(c.left / 10, c.right / 10) for c in design.frame.clears if c.kind == "door"]
    return max(b - a for a, b in pairwise(middles) if not any(a < r and b > left for left, r in doors))


def spacing(design, board, *, at_opening: bool = False) -> int:
    """The most that screws of a board may be apart, 0.1 mm."""
    outer = {"A": design.option.layers_a, "B": design.option.layers_b}[board.side]
    if board.layer < outer:
        return tenths(design, "screw.spacing_base_layer")
    close = widest_centres(design) <= tenths(design, "screw.close_studs_to") / 10
    most = tenths(design, "screw.spacing_close_studs" if close else "screw.spacing")
    return min(most, tenths(design, "screw.spacing_corner")) if at_opening else most


def rows(design) -> dict[tuple[str, str], list[tuple[float, float]]]:
    found: dict[tuple[str, str], list[tuple[float, float]]] = {}
    for row in design.parts.screws:
        found.setdefault((row.board, row.member), []).extend(row.points())
    return {key: sorted(points) for key, points in found.items()}


def upright(member) -> bool:
    return member.role in ("end stud", "stud", "double stud", "jamb stud", "trimmer", "short stud")


def corners(member):
    """Outline of a member: its own where it is cut to a slope."""
    return member.outline or shapely.box(member.x, member.y, member.right, member.top).exterior.coords


def away(edge, x: float, y: float) -> float:
    """How far a screw is from an edge of a board; from a sloping edge along the stud, that is plumb."""
    (xa, ya), (xb, yb) = edge
    if xa == xb or ya == yb:
        return shapely.LineString(edge).distance(shapely.Point(x, y))
    if not min(xa, xb) <= x <= max(xa, xb):
        return math.inf
    return abs(y - ya - (yb - ya) * (x - xa) / (xb - xa)) + ROUNDED


def test_every_screw_is_in_its_board_and_in_timber_and_clear_of_the_edges(design):
    timber = {
        side: shapely.union_all(
            [shapely.Polygon(corners(m)) for m in design.frame.members if side in m.faces]
        )
        for side in "AB"
    }
    boards = {b.mark: b for b in design.frame.boards}
    bound, cut = tenths(design, "joint.edge_bound"), tenths(design, "joint.edge_cut")
    edge = tenths(design, "joint.timber_edge")
    tapered = {m.mark for m in design.frame.members if m.outline}
    for (mark, member), points in rows(design).items():
        b = boards[mark]
        inside = 0 if member in tapered else edge - 1  # from a sloping cut it is measured along the row
        shape = shapely.Polygon(b.outline, [_ring(h) for h in b.holes])
        outer = {"left": b.x, "right": b.x + b.width, "bottom": b.y, "top": b.y + b.height}
        edges = [
            (pair, any(pair[0][i] == pair[1][i] == outer[n] for n, i in _named(b)))
            for ring in (b.outline, *(_ring(h) for h in b.holes))
            for pair in pairwise((*ring, ring[0]))
        ]
        for x, y in points:
            at = shapely.Point(x, y)
            assert shape.contains(at), (mark, x, y)
            assert timber[b.side].buffer(-inside).contains(at), (mark, x, y)
            for pair, is_bound in edges:
                assert away(pair, x, y) >= (bound if is_bound else cut) - 1, (mark, x, y)


def _ring(hole):
    x0, y0, x1, y1 = hole
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


def _named(board):
    return [(name, 0 if name in ("left", "right") else 1) for name in board.bound_edges]


def test_an_upright_has_as_few_screws_as_keep_their_distance(design):
    members = {m.mark: m for m in design.frame.members}
    boards = {b.mark: b for b in design.frame.boards}
    for (board, mark), points in rows(design).items():
        m = members[mark]
        if not upright(m):
            continue
        ys = sorted(y for _, y in points)
        beside = [c for c in design.frame.clears if m.right == c.left or m.x == c.right]
        stops = {ys[0], ys[-1], *(v for c in beside for v in (c.bottom, c.top) if ys[0] < v < ys[-1])}
        wanted = 1
        for a, b in pairwise(sorted(stops)):
            at = any(c.bottom <= a and b <= c.top for c in beside)
            wanted += math.ceil((b - a) / spacing(design, boards[board], at_opening=at))
        assert len(ys) == wanted, (board, mark)
        for a, b in pairwise(ys):
            at = any(a < c.top and b > c.bottom for c in beside)
            inside = any(c.bottom <= a + 1 and b <= c.top + 1 for c in beside)
            assert b - a <= spacing(design, boards[board], at_opening=at and inside) + 1, (board, mark)


def test_level_timber_is_screwed_between_the_rows_of_the_uprights(design):
    members = {m.mark: m for m in design.frame.members}
    found = rows(design)
    for b in design.frame.boards:
        posts = {
            mark: (points[0][0], min(y for _, y in points), max(y for _, y in points))
            for (board, mark), points in found.items()
            if board == b.mark and upright(members[mark])
        }
        thick = max((members[mark].width for mark in posts), default=0)
        for m in design.frame.members:
            own = found.get((b.mark, m.mark), [])
            if upright(m) or m.outline or not own:
                continue
            y = own[0][1]
            stops = sorted(
                {
                    x
                    for x, low, high in posts.values()
                    if low - 1 <= y <= high + 1 and m.x - thick <= x <= m.right + thick
                }
            )
            edged = any(
                c.left < m.right and m.x < c.right and (m.y == c.top or m.top == c.bottom)
                for c in design.frame.clears
            )
            most = spacing(design, b, at_opening=edged)
            xs = [x for x, _ in own]
            for a, c in pairwise(stops):
                between = [x for x in xs if a < x < c]
                assert len(between) == math.ceil((c - a) / most) - 1, (b.mark, m.mark)
            every = sorted([*xs, *stops])
            assert all(c - a <= most + 1 for a, c in pairwise(every)), (b.mark, m.mark)


def test_every_stretch_of_timber_behind_a_board_is_within_reach_of_its_screws(design):
    """No point of a support's middle is further from a screw than half a spacing and what ends ask."""
    found: dict[str, list[tuple[float, float]]] = {}
    for (board, _), points in rows(design).items():
        found.setdefault(board, []).extend(points)
    wide = tenths(design, "joint.edge_cut") + tenths(design, "joint.timber_edge")
    for b in design.frame.boards:
        shape = shapely.Polygon(b.outline, [_ring(h) for h in b.holes])
        screws = shapely.MultiPoint(found[b.mark])
        reach = math.sqrt(0.5) * spacing(design, b) + 2 * wide
        for m in design.frame.members:
            if b.side not in m.faces:
                continue
            shared = shape.intersection(shapely.box(m.x, m.y, m.right, m.top))
            for part in getattr(shared, "geoms", [shared]):
                if part.area == 0 or min(_sides(part)) < wide:
                    continue
                x0, y0, x1, y1 = part.bounds
                x, y = (x0 + x1) / 2, (y0 + y1) / 2
                ends = ((x, y0), (x, y1)) if upright(m) else ((x0, y), (x1, y))
                line = shapely.LineString(ends).intersection(shape)
                for share in (0, 0.25, 0.5, 0.75, 1):
                    at = line.interpolate(share, normalized=True)
                    assert screws.distance(at) <= reach, (b.mark, m.mark, share)


def _sides(part) -> tuple[float, float]:
    x0, y0, x1, y1 = part.bounds
    return x1 - x0, y1 - y0


def test_the_order_lists_the_screws_that_were_counted(design):
    """Needed is what stands in the rows and the allowance, of the shortest screw that is long enough."""
    offer = [i for i in design.prices.items("screw") if i.product == design.rules.value("order.board_screw")]
    offer = [i.length for i in offer if i.sizes in ("both", design.rules.value("catalogue.sizes"))]
    thick = {(b.side, b.layer): design.prices.board(b.product).thickness for b in design.frame.boards}
    counted: Counter[int] = Counter()
    for row in design.parts.screws:
        through = sum(t for (side, n), t in thick.items() if side == row.side and n <= row.layer)
        least = through + tenths(design, "screw.penetration")
        counted[min(n for n in offer if n >= least)] += len(row.points())
    share = 1 + float(design.rules.value("screw.allowance")) / 100
    lines = design.takeoff[design.takeoff["item"] == design.rules.value("order.board_screw")]
    needed: Counter[int] = Counter()
    for code, number in zip(lines["code"], lines["needed"], strict=True):
        needed[design.prices.item(code).length] += number
    assert needed == {length: math.ceil(round(n * share, 6)) for length, n in counted.items()}
