"""What is cut in a board, drawn on its sheet: every blank is the board turned over nowhere, with its holes."""

from __future__ import annotations

import math
from functools import cache

import pytest
from matplotlib.patches import Ellipse
from matplotlib.patches import Polygon as Drawn
from shapely import affinity
from shapely.geometry import Polygon, box

import wallcalc as wc
from wallcalc.boarding.blanks import is_tapered, on_sheet
from wallcalc.draw.cutting import cutting_figures
from wallcalc.given.parts import Opening, Service
from wallcalc.output.diagrams import draw_sheets
from wallcalc.output.page import Paper


@cache
def made(orientation):
    """A wall under a slope with a door and pipes that come through both sides."""
    wall = wc.Wall(
        "roof",
        42_000,
        ((0, 12_000), (31_000, 25_500), (42_000, 25_500)),
        openings=(Opening("door", 28_000, width=9_000, height=20_400),),
        services=(
            Service("waste", "A", (23_000, 4_000), 500, 50, goes="through"),
            Service("box", "B", (39_000, 11_000), 0, 50, size=(900, 700)),
            Service("tap", "B", (8_000, 9_000), 220, 50),
        ),
    )
    return wc.design(wall, wc.Option(board_orientation=orientation), model="closed form", seconds=0.05)


def cuts_of(design):
    boards = {b.mark: b for b in design.frame.boards}
    for row in design.sheet_cuts.itertuples():
        for cut in row.cuts:
            if cut[0] in boards:
                yield boards[cut[0]], cut, row


def seen_from_face(board, shape):
    return affinity.scale(shape, -1, 1, origin=(0, 0)) if board.side == "B" else shape


@pytest.mark.parametrize("orientation", ["vertical", "horizontal"])
def test_a_blank_on_its_sheet_is_the_board_turned_not_mirrored(orientation):
    design = made(orientation)
    tapered = pierced = 0
    for board, cut, row in cuts_of(design):
        put = on_sheet(board, cut, row)
        _, x, y, length, width, _ = cut
        blank = affinity.scale(box(x, y, x + length, y + width), 1, -1, origin=(0, 0))
        assert bool(put.corners) == is_tapered(board)
        assert len(put.holes) == len(board.pierced)
        if not put.corners and not put.holes:
            continue
        outline = Polygon([(p / 10, q / 10) for p, q in board.outline])
        on_wall = [box(*(v / 10 for v in p.rect)) for p in board.pierced]
        corners = put.corners
        laid = Polygon([(p, -q) for p, q in corners]) if corners else blank
        holes = [box(a, -b - h, a + w, -b) for (a, b, w, h), _ in put.holes]
        ways = []
        for angle in (0, 90, 180, 270):
            turned = affinity.rotate(seen_from_face(board, outline), angle, origin=(0, 0))
            dx, dy = (laid.bounds[i] - turned.bounds[i] for i in (0, 1))
            same = affinity.translate(turned, dx, dy).symmetric_difference(laid).area < 10
            if not corners:
                same = same or box(*affinity.translate(turned, dx, dy).bounds).equals_exact(
                    box(*laid.bounds), 0.2
                )
            there = [
                affinity.translate(affinity.rotate(seen_from_face(board, p), angle, origin=(0, 0)), dx, dy)
                for p in on_wall
            ]
            if same and all(p.symmetric_difference(q).area < 20 for p, q in zip(there, holes, strict=True)):
                ways.append(angle)
        assert ways, (board.mark, cut)
        assert laid.within(blank.buffer(0.2))
        tapered += bool(corners)
        pierced += bool(holes)
    assert tapered >= 2
    assert pierced >= 3


def test_cut_outs_lie_outside_the_board_and_inside_its_blank():
    seen = 0
    for board, cut, row in (c for way in ("vertical", "horizontal") for c in cuts_of(made(way))):
        put = on_sheet(board, cut, row)
        for a, b, w, h in put.cut_outs:
            rect = box(a, b, a + w, b + h)
            assert rect.within(box(*cut[1:3], cut[1] + cut[3], cut[2] + cut[4]).buffer(0.1))
            if put.corners:
                seen += 1
                assert Polygon(put.corners).intersection(rect).area < 10
    assert seen


def test_the_picture_draws_holes_and_slopes_and_tells_of_them():
    design = made("vertical")
    figure, alt, _ = next(f for f in cutting_figures(design) if f[2] == "Boards")
    patches = figure.axes[0].patches
    area = sum(p.area2 for p in design.frame.boards if is_tapered(p)) / 200
    drawn = [p for p in patches if isinstance(p, Drawn)]
    assert sum(Polygon(p.get_xy()).area for p in drawn) == pytest.approx(area, rel=1e-3)
    rounds = sorted(p.width for b in design.frame.boards for p in b.pierced if p.round)
    ovals = [p for p in patches if isinstance(p, Ellipse)]
    assert sorted(p.get_width() for p in ovals) == pytest.approx([r / 10 for r in rounds])
    assert all(math.isclose(p.get_width(), p.get_height()) for p in ovals)
    for board in design.frame.boards:
        assert (board.mark in alt) == bool(board.pierced or is_tapered(board))


def test_the_printed_sheets_draw_them_too():
    design = made("vertical")
    paper = Paper("wall", "foot")
    paper.page("Sheets")
    boards = {b.mark: b for b in design.frame.boards}
    draw_sheets(paper, design.sheet_cuts.itertuples(), boards, "{:g}".format)
    patches = [p for f in paper.figures for p in f.axes[0].patches]
    assert sum(isinstance(p, Drawn) for p in patches) == sum(is_tapered(b) for b in design.frame.boards)
    assert sum(isinstance(p, Ellipse) for p in patches) == sum(
        p.round for b in design.frame.boards for p in b.pierced
    )


def test_a_plain_wall_says_nothing_of_holes():
    design = wc.design(wc.Wall("plain", 24_000, ((0, 24_000),)), wc.Option(), model="closed form")
    _, alt, _ = next(f for f in cutting_figures(design) if f[2] == "Boards")
    assert "Holes" not in alt
    assert "slope" not in alt
