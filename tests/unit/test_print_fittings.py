"""Sheets to print of what hangs on the wall and comes through it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from matplotlib.patches import Ellipse

import wallcalc as wc
from wallcalc.output.export import export
from wallcalc.output.rebuild import rebuild
from wallcalc.output.sheets import compose
from wallcalc.shipped import data_folder


def made(name: str, **option: object) -> wc.Design:
    """The design of a demo wall: its frame without hung items, its wall with them."""
    wall = wc.Wall.load(data_folder() / "walls" / f"{name}.toml")
    design = wc.design(replace(wall, hung=()), wc.Option(**option), model="closed form")
    return wc.Design(replace(design.parts, wall=wall), design.check_rows)


@pytest.fixture(scope="module")
def laundry():
    return made("laundry_and_practice_room")


@pytest.fixture(scope="module")
def office():
    return made("office_two_doors", board_orientation="horizontal")


def pages(design, word):
    paper = compose(design)
    return [f for f, title in zip(paper.figures, paper.titles, strict=True) if title.startswith(word)]


def texts(design, word):
    return [t.get_text() for figure in pages(design, word) for t in figure.axes[0].texts]


def test_every_fixing_and_service_is_on_the_sheet_with_its_place(laundry):
    shown = texts(laundry, "Hung items and services")
    for item in laundry.wall.hung:
        assert any(t.startswith(f"{item.name}, ") for t in shown)
        for x, y in item.fixings:
            assert {f"{x / 10:g}", f"{3840 - x / 10:g}", f"{y / 10:g}"} <= set(shown)
    for service in laundry.wall.services:
        assert service.name in shown
    for member in laundry.bored["member"]:
        assert member in shown


def test_masses_are_in_pounds_where_lengths_are_in_inches():
    wall = wc.Wall.load(data_folder() / "walls" / "den_feet_inches.toml")
    shown = texts(wc.design(wall, rules="us", model="closed form"), "Hung items and services")
    assert "tool board, 75 lb" in shown  # 35 lb that holds 40 lb


def test_the_points_measured_stand_in_the_table_of_marks_with_their_places():
    design = made("sloping_ceiling")
    figures = pages(design, "Setting out")
    placed = {
        t.get_text(): t.get_position()[1]
        for f in figures
        for t in f.axes[0].texts
        if "ceiling" in t.get_text()
    }
    beside = [t.get_text() for t in figures[0].axes[0].texts if t.get_position()[1] == placed["ceiling 2"]]
    assert {"1300", "1800"} <= set(beside)  # the ridge is 1.30 m from the left of 3.10 m


def test_a_wall_with_nothing_on_it_has_no_such_sheets():
    plain = made("laundry_plain")
    assert not pages(plain, "Hung items")
    assert not pages(plain, "Holes in boards")


@pytest.mark.parametrize("name", ["laundry", "office"])
def test_holes_are_measured_from_all_four_edges_of_their_board_seen_from_its_face(name, request):
    design = request.getfixturevalue(name)
    boards = {b.mark: b for b in design.frame.boards}
    holes = design.board_holes
    assert len(holes) == sum(len(b.pierced) for b in design.frame.boards) > 0
    services = {s.name: s for s in design.wall.services}
    for r in holes.itertuples():
        board, service = boards[r.board], services[r.service]
        assert r.from_left + r.from_right == pytest.approx(board.width / 10)
        assert r.from_bottom + r.from_top == pytest.approx(board.height / 10)
        from_a = r.from_left if r.side == "A" else r.from_right
        assert board.x / 10 + from_a == pytest.approx(service.at[0] / 10)
        assert board.y / 10 + r.from_bottom == pytest.approx(service.at[1] / 10)
    shown = texts(design, "Holes in boards")
    for column in ("from_left", "from_right", "from_bottom", "from_top"):
        assert {f"{v:g}" for v in holes[column]} <= set(shown)


def test_boards_are_drawn_with_their_holes_in_place(laundry):
    (figure,) = pages(laundry, "Holes in boards")
    ovals = [p for p in figure.axes[0].patches if isinstance(p, Ellipse)]
    holes = laundry.board_holes
    assert len(ovals) == len(holes)
    across = [p.center[0] for p in ovals]
    down = [p.center[1] for p in ovals]
    apart = (across[2] - across[1]) / (holes["from_left"][2] - holes["from_left"][1])
    assert (down[1] - down[0]) / (holes["from_top"][1] - holes["from_top"][0]) == pytest.approx(apart)
    numbers = [t for t in figure.axes[0].texts if t.get_text() in "123" and t.get_fontsize() == 7]
    figure.canvas.draw()
    boxes = [t.get_window_extent() for t in numbers]
    assert len(boxes) == 3
    assert not any(a.overlaps(b) for i, a in enumerate(boxes) for b in boxes[i + 1 :])


def test_noggins_between_joists_are_among_the_pieces_to_cut():
    closet = made("closet")
    shown = texts(closet, "Timber cut list")
    assert "JN1, JN2, JN3" in shown
    assert "between joists" in shown
    assert "353" in shown  # 400 less a joist of 47


def test_the_export_holds_the_lists_and_gives_the_same_design_again(laundry, tmp_path):
    names = {p.name for p in export(laundry, tmp_path / "out", sheets=False)}
    assert {"hung_fixings.csv", "board_holes.csv", "holes_in_timber.csv", "joist_noggins.csv"} <= names
    wall, option, rules, prices = rebuild(tmp_path / "out")
    assert wall == laundry.wall
    again = wc.design(replace(wall, hung=()), option, rules=rules, prices=prices, model="closed form")
    assert again.frame == laundry.frame
    assert again.board_holes.equals(laundry.board_holes)


def test_joists_are_told_in_a_line_and_services_have_their_own_sheet(laundry):
    shown = texts(laundry, "Setting out")
    assert any(t.startswith("Joists above: 210, 660, 1110") for t in shown)
    assert "service" not in shown
    closet = texts(made("closet"), "Setting out")
    assert "Noggins between joists above, JN1, JN2, JN3: 150, 470, 790" in closet
    assert "Joists below: 180, 580" in closet


def test_the_summary_names_joists_and_uneven_heights(laundry):
    shown = " ".join(texts(laundry, "Partition wall"))
    assert "across the wall, first at 210, every 450" in shown
    assert "none, solid" in shown
    cellar = wc.Wall.load(data_folder() / "walls" / "cellar_uneven_floor.toml")
    told = texts(wc.design(cellar, model="closed form"), "Partition wall")
    assert "2262 to 2280; floor rises 18" in told
