"""Pictures: everything of the design is in them, in its place, inside the picture, and said in words."""

from __future__ import annotations

import base64
import io
import itertools
import re
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from matplotlib.colors import to_rgb
from matplotlib.patches import Rectangle
from matplotlib.path import Path
from PIL import Image

import wallcalc as wc
from wallcalc.draw import (
    Elevation,
    SweepChart,
    TradeChart,
    compare_layouts,
    cutting_figures,
    draw_bars,
    draw_elevation,
    elevation_alt,
    elevation_key,
    layouts_alt,
    new_figure,
    sweep_alt,
    to_img,
    trade_alt,
    unbeaten_key,
)
from wallcalc.draw.fitting_key import NAMES
from wallcalc.draw.frame_marks import added_for, added_words
from wallcalc.draw.style import JOINT_KINDS, SERIES, spread
from wallcalc.given.parts import Joists, Service
from wallcalc.output.cover import inches_text
from wallcalc.records import MODULE, STABILITY, for_item, moved_for
from wallcalc.shipped import data_folder

UPRIGHTS = ["end stud", "stud", "double stud", "jamb stud", "short stud"]


@pytest.fixture(scope="module")
def wall():
    return wc.Wall.load(data_folder() / "walls" / "worked_wall.toml")


@pytest.fixture(scope="module")
def design(wall):
    return wc.design(wall, wc.Option(stud_centres=400, board_orientation="horizontal", fill="wool-50"))


def _axes(width=544, height=424):
    figure = new_figure(width, height)
    return figure.add_axes((0, 0.05, 1, 0.95))


def _shown(elevation):
    return [text for text in elevation.ax.texts if text.get_visible() and text.get_text()]


@pytest.mark.parametrize("side", ["A", "B"])
def test_every_member_is_drawn_where_it_stands_and_side_b_is_mirrored(design, side):
    elevation = draw_elevation(_axes(), design, side)
    drawn = {
        (round(p.vertices[:, 0].min(), 1), round(p.vertices[:, 0].max(), 1), round(p.vertices[:, 1].min(), 1))
        for p in elevation._timber.get_paths()
    }
    length = design.frame.length / 10
    m = design.members
    left = m["x"] if side == "A" else length - m["x"] - m["width"]
    assert drawn == {
        (round(a, 1), round(a + w, 1), round(y, 1)) for a, w, y in zip(left, m["width"], m["y"], strict=True)
    }


@pytest.mark.parametrize("side", ["A", "B"])
def test_joints_are_drawn_by_kind_at_their_full_length(design, side):
    elevation = draw_elevation(_axes(), design, side)
    joints = design.joints[(design.joints["side"] == side) & (design.joints["layer"] == 1)]
    assert len(joints)
    for kind in JOINT_KINDS:
        drawn = sum(np.abs(np.diff(s, axis=0)).sum() for s in elevation._joints[kind].get_segments())
        assert drawn == pytest.approx(joints.loc[joints["kind"] == kind, "length"].sum())


@pytest.mark.parametrize("side", ["A", "B"])
def test_marks_and_running_dimensions_name_every_stud(design, side):
    elevation = draw_elevation(_axes(), design, side)
    texts = [t.get_text() for t in _shown(elevation)]
    studs = design.members[design.members["role"].isin(UPRIGHTS)]
    centres = studs["x"] + studs["width"] / 2
    if side == "B":
        centres = design.frame.length / 10 - centres
    for mark, centre in zip(studs["mark"], centres, strict=True):
        assert texts.count(mark) == 1
        assert f"{centre:g}" in texts
    boards = design.boards[(design.boards["side"] == side) & (design.boards["layer"] == 1)]
    assert all(texts.count(mark) == 1 for mark in boards["mark"])
    assert any("842 wide\n2030 high" in text for text in texts)


@pytest.mark.parametrize(
    ("name", "rules", "centres", "size"),
    [
        ("worked_wall", "uk", 300, (544, 424)),
        ("worked_wall", "uk", 400, (544, 424)),
        ("closet", "uk", 600, (544, 424)),
        ("office_two_doors", "uk", 300, (1096, 424)),
        ("den_feet_inches", "us", 406.4, (544, 424)),
    ],
)
@pytest.mark.parametrize("side", ["A", "B"])
def test_no_text_leaves_the_picture_and_no_two_marks_overlap(name, rules, centres, size, side):
    wall = replace(wc.Wall.load(data_folder() / "walls" / f"{name}.toml"), hung=(), services=())
    design = wc.design(wall, wc.Option(stud_centres=centres), rules=rules)
    elevation = draw_elevation(_axes(*size), design, side, 1, inches_text if rules == "us" else None)
    figure = elevation.ax.figure
    figure.canvas.draw()
    renderer = figure.canvas.get_renderer()
    boxes = {(t.get_text(), t.get_position()): t.get_window_extent(renderer) for t in _shown(elevation)}
    for text, box in boxes.items():
        assert box.x0 >= 0, text
        assert box.y0 >= 0, text
        assert box.x1 <= figure.bbox.width, text
        assert box.y1 <= figure.bbox.height, text
    upright = [b for (text, _), b in boxes.items() if re.fullmatch(r"(ES|S|DS|JS|SS|TR)\d+", text)]
    for i, a in enumerate(upright):
        for b in upright[i + 1 :]:
            assert a.x1 <= b.x0 + 0.5 or b.x1 <= a.x0 + 0.5


def test_updating_shows_the_same_as_drawing_anew(wall, design):
    other = wc.design(wall, wc.Option(stud_centres=600))
    kept = Elevation(_axes())
    kept.update(design, "A")
    kept.update(other, "B")
    fresh = draw_elevation(_axes(), other, "B")
    assert kept.show("x") == fresh.show("x")
    kept.update(design, "A")
    assert kept.show("x") != fresh.show("x")


def test_the_key_is_in_the_shown_picture():
    figure = new_figure(576, 446)
    elevation = Elevation(figure.add_axes((0, 0.05, 1, 0.95)))
    elevation_key(figure)
    wall = wc.Wall.load(data_folder() / "walls" / "closet.toml")
    elevation.update(wc.design(wall, wc.Option()), "A")
    picture = _decoded(elevation.show("x"))
    foot = np.asarray(picture)[-24:]
    wanted = 255 * np.array(to_rgb(JOINT_KINDS["bound-bound"][0]))
    blue = np.abs(foot.astype(int) - wanted).sum(axis=2) < 12
    assert blue.sum() > 30


def test_elevation_alt_counts_studs_boards_and_joint_metres(design):
    text = elevation_alt(design, "A")
    studs = design.members["role"].isin(UPRIGHTS[:-1]).sum()
    assert f"{studs} full-height studs" in text
    joints = design.joints.query("side == 'A' and layer == 1 and kind == 'bound-bound'")
    assert f"{joints['length'].sum() / 1000:.1f} m bound-bound" in text


def test_image_has_a_fixed_size_and_its_text_is_escaped():
    figure = new_figure(200, 120)
    image = to_img(figure, 'a "quoted" <b>finding</b>')
    assert 'width="200"' in image
    assert 'height="120"' in image
    assert "<b>" not in image
    assert "&quot;quoted&quot;" in image
    assert _decoded(image).size == (200, 120)


def _decoded(image):
    data = re.search(r"base64,([^\"]+)\"", image).group(1)
    return Image.open(io.BytesIO(base64.b64decode(data)))


@settings(max_examples=150, deadline=None)
@given(st.lists(st.floats(0, 1000), min_size=1, max_size=30).map(sorted), st.floats(1, 60))
def test_spread_keeps_order_distance_and_limits(wanted, least):
    placed = spread(wanted, least, 0.0, 1000.0)
    fair = min(least, 1000.0 / (len(wanted) - 1)) if len(wanted) > 1 else least
    assert all(b - a >= fair - 1e-6 for a, b in itertools.pairwise(placed))
    assert min(placed) >= -1e-6
    assert max(placed) <= 1000.0 + 1e-6
    if all(b - a >= least for a, b in itertools.pairwise(wanted)):
        assert placed == pytest.approx(wanted)


# Charts, from an invented table whose findings are plain to see.


@pytest.fixture(scope="module")
def table():
    rows = [
        {
            "section": "38x89",
            "stud_centres": float(centres),
            "board_orientation": orientation,
            "fill": fill,
            "layers_a": 1,
            "layers_b": 1,
            "buildable": not (orientation == "horizontal" and centres == 450),
            "cost": 400.0 - centres / 10 + (20 if fill else 0) + (5 if orientation == "vertical" else 0),
            "timber_waste": 0.1,
            "board_waste": centres / 3000,
            "fill_waste": 0.2 if fill else np.nan,
            "Rw": 35.0 + (6 if fill else 0) + (centres == 600),
        }
        for orientation in SERIES
        for centres in (300, 400, 450, 600)
        for fill in (None, "wool-50")
    ]
    return pd.DataFrame(rows)


def test_sweep_alt_states_the_finding(table):
    sweep = table[table["fill"].isna()]
    text = sweep_alt(sweep, sweep.iloc[0].to_dict(), "GBP")
    assert "Lowest cost 340.00 GBP at 600 mm on their side" in text
    assert "Board waste runs from 10.0% at 300 mm upright to 20.0% at 600 mm" in text
    assert "Rw runs from 35 to 36 dB" in text
    assert "1 of 8 cannot be built" in text
    assert "Current option: 375.00 GBP at 300 mm upright" in text


def test_moving_the_current_option_leaves_the_lines_and_moves_the_mark(table):
    chart = SweepChart(576, 590, "GBP")
    sweep = table[table["fill"] == "wool-50"]
    chart.set_sweep(sweep, (300, 400, 450, 600), 300, 600)
    bare = np.asarray(_decoded(chart.show(None, "x"))).astype(int)
    first = np.asarray(_decoded(chart.show(sweep.iloc[0].to_dict(), "x"))).astype(int)
    again = np.asarray(_decoded(chart.show(None, "x"))).astype(int)
    assert (bare == again).all()
    changed = np.nonzero((bare != first).any(axis=(0, 2)))[0]
    left = chart.axes[0].transData.transform((300, 0))[0]
    assert changed.min() == pytest.approx(left, abs=8)
    assert (bare != first).any()


def test_series_differ_by_more_than_colour():
    a, b = SERIES.values()
    assert a["marker"] != b["marker"]
    assert a["linestyle"] != b["linestyle"]
    dashes = [str(dash) for _, dash, _ in JOINT_KINDS.values()]
    assert len(set(dashes[:3])) == 3


def test_trade_chart_numbers_the_unbeaten_options(table):
    rows = table[table["buildable"]]
    best = wc.trade_offs(rows, low=["cost"], high=["Rw"]).drop_duplicates(["cost", "Rw"])
    chart = TradeChart(576, 400, "GBP")
    chart.set_study(table, best)
    numbers = [t.get_text() for t in chart.ax.texts if not t.get_animated()]
    assert numbers == [str(k) for k in range(1, len(best) + 1)]
    assert unbeaten_key(best, "GBP").count("<li>") == len(best)
    text = trade_alt(table, best, "GBP")
    assert "14 options" in text
    assert "cheapest costs 340.00 GBP with Rw 36 dB" in text
    assert "quietest 360.00 GBP with Rw 42 dB" in text
    assert chart.show(rows.iloc[0].to_dict(), [(1, rows.iloc[1].to_dict())], text) != chart.show(
        None, [], text
    )


def test_unbeaten_key_escapes_what_comes_from_files(table):
    rows = table.head(1).assign(fill="<script>alert(1)</script>")
    assert "<script" not in unbeaten_key(rows, "GBP")


def test_bars_hold_every_cut_of_one_of_each_kind(design):
    figure = new_figure(860, 400)
    ax = figure.add_axes((0, 0, 1, 1))
    draw_bars(ax, design.timber_cuts)
    kinds = {(r.stock, r.stock_length, tuple(n for _, n in r.cuts)) for r in design.timber_cuts.itertuples()}
    bars = [p for p in ax.patches if isinstance(p, Rectangle)]
    assert len(bars) == len(kinds) + sum(len(cuts) for _, _, cuts in kinds)
    assert sorted(p.get_width() for p in bars) == pytest.approx(
        sorted([length for _, length, _ in kinds] + [n for _, _, cuts in kinds for n in cuts])
    )


def test_cutting_figures_cover_timber_boards_and_slabs(design):
    figures = cutting_figures(design)
    assert [name for _, _, name in figures] == ["Timber", "Boards", "Slabs"]
    for figure, alt, _ in figures:
        assert "cutting plan" in alt
        assert _decoded(to_img(figure, alt)).size[0] == 860
    assert f"{len(design.sheet_cuts)} bought" in figures[1][1]


# --- hung items, services, joists


FITTED = [
    ("laundry_and_practice_room", "uk", 600, (544, 424)),
    ("laundry_and_practice_room", "uk", 300, (544, 424)),
    ("office_two_doors", "uk", 400, (1096, 424)),
    ("den_feet_inches", "us", 406.4, (544, 424)),
]


def _with_fittings(name, rules, centres, **more):
    """A design of the frame as it is without fittings, and the wall with them: what is drawn of them is the wall's."""
    wall = replace(wc.Wall.load(data_folder() / "walls" / f"{name}.toml"), **more)
    plain = replace(wall, hung=(), services=())
    design = wc.design(plain, wc.Option(stud_centres=centres), rules=rules)
    return wc.Design(replace(design.parts, wall=wall), design.check_rows)


def _middles(collection):
    return sorted(
        (round(float(s[:, 0].mean()), 1), round(float(s[:, 1].mean()), 1)) for s in collection.get_segments()
    )


@pytest.mark.parametrize("side", ["A", "B"])
@pytest.mark.parametrize(("name", "rules", "centres", "size"), FITTED)
def test_every_fixing_of_the_side_has_its_cross_and_side_b_is_mirrored(name, rules, centres, size, side):
    design = _with_fittings(name, rules, centres)
    elevation = draw_elevation(_axes(*size), design, side)
    length = design.frame.length / 10
    points = [
        (round(x / 10 if side == "A" else length - x / 10, 1), round(y / 10, 1))
        for item in design.wall.hung
        if item.side == side
        for x, y in item.fixings
    ]
    assert _middles(elevation._fittings._crosses) == sorted(points * 2)  # a level and an upright stroke each
    boxes = [s for s in elevation._fittings._outlines.get_segments()]
    for x, y in points:
        assert any(b[:, 0].min() < x < b[:, 0].max() and b[:, 1].min() < y < b[:, 1].max() for b in boxes)


def test_holes_are_drawn_on_their_side_and_what_is_kept_clear_on_both():
    design = _with_fittings("laundry_and_practice_room", "uk", 600)
    length = design.frame.length / 10
    for side in "AB":
        fittings = draw_elevation(_axes(1180, 900), design, side)._fittings
        assert len(fittings._holes.get_paths()) == (3 if side == "A" else 0)
        rings = fittings._rings.get_segments()
        for service, ring in zip(design.wall.services, rings, strict=True):
            x = service.at[0] / 10 if side == "A" else length - service.at[0] / 10
            reach = np.hypot(ring[:, 0] - x, ring[:, 1] - service.at[1] / 10)
            assert reach == pytest.approx(service.diameter / 20 + service.clearance / 10)


def test_pipes_in_the_wall_run_drop_and_come_out_where_they_are_told():
    waste = Service("waste", "A", (11200, 5200), 430, 100, "waste", to=(20200, 4750), goes="down")
    hot = Service("hot", "A", (15000, 9000), 150, to=(18000, 9000), goes="through")
    design = _with_fittings("laundry_and_practice_room", "uk", 600, services=(waste, hot), hung=())
    elevation = draw_elevation(_axes(), design, "B")
    boxes = sorted(
        tuple(round(float(v), 1) for v in (*p.vertices.min(axis=0), *p.vertices.max(axis=0)))
        for p in elevation._fittings._pipes.get_paths()
    )
    assert boxes == sorted(
        [
            (1820.0, 453.5, 2720.0, 541.5),  # 3840 - 2020 to 3840 - 1120, 475 to 520, half of 43 each way
            (2040.0, 892.5, 2340.0, 907.5),
            (1798.5, 0.0, 1841.5, 475.0),
        ]
    )
    texts = [t.get_text() for t in _shown(elevation)]
    assert "waste, 43, fall 1 in 20" not in texts  # it comes through side A
    assert len(elevation._fittings._holes.get_paths()) == 1  # where the hot water comes out on side B
    other = draw_elevation(_axes(), design, "A")
    assert {"waste, 43, fall 1 in 20", "hot, 15, through"} <= {t.get_text() for t in _shown(other)}


@pytest.mark.parametrize("side", ["A", "B"])
@pytest.mark.parametrize(("name", "rules", "centres", "size"), FITTED)
def test_names_of_fittings_cover_neither_one_another_nor_marks_nor_fixings(name, rules, centres, size, side):
    design = _with_fittings(name, rules, centres)
    elevation = draw_elevation(_axes(*size), design, side, 1, inches_text if rules == "us" else None)
    elevation.ax.figure.canvas.draw()
    renderer = elevation.ax.figure.canvas.get_renderer()
    shown = _shown(elevation)
    names = [i.name for i in design.wall.hung if i.side == side]
    names += [s.name for s in design.wall.services if s.side == side]
    told = {n: next(t for t in shown if t.get_text().startswith(f"{n}, ")) for n in names}
    spots = {n: t.get_window_extent(renderer) for n, t in told.items()}
    wall = elevation.ax.transData.transform([(0, 0), (design.frame.length / 10, design.frame.height / 10)])
    others = {t.get_text(): t.get_window_extent(renderer) for t in shown if t not in told.values()}
    fixed = elevation._fittings._crosses.get_segments()
    for n, box in spots.items():
        assert wall[0][0] <= box.x0, n
        assert box.x1 <= wall[1][0], n
        for other, b in itertools.chain(((m, b) for m, b in spots.items() if m != n), others.items()):
            assert not box.overlaps(b), (n, other)
        for cross in fixed:
            assert not box.contains(*elevation.ax.transData.transform(cross.mean(axis=0))), n


def test_joists_are_drawn_over_the_ceiling_where_they_cross(wall):
    across = wc.design(replace(wall, joists_above=Joists("across", 2100, 4500)), wc.Option())
    along = wc.design(replace(wall, joists_above=Joists("along", None, 4500)), wc.Option())
    unknown = wc.design(wall, wc.Option())
    for design, wanted in ((across, [210 + 450 * n for n in range(9)]), (unknown, [])):
        boxes = draw_elevation(_axes(), design, "A")._joists.get_segments()[::2]
        assert [round(float(b[:, 0].min() + b[:, 0].max()) / 2, 1) for b in boxes] == wanted
        assert all(b[:, 1].min() >= design.frame.height / 10 for b in boxes)
    noggins = draw_elevation(_axes(), along, "B")._joists.get_segments()[::2]
    assert len(noggins) == len(along.frame.joist_noggins)


def test_the_key_under_the_wall_names_what_is_there_and_nothing_else(wall, design):
    plain = {t.get_text() for t in _shown(draw_elevation(_axes(), design, "A"))}
    assert not plain & set(NAMES.values())
    full = _with_fittings("laundry_and_practice_room", "uk", 600)
    shown = {t.get_text() for t in _shown(draw_elevation(_axes(), full, "A"))}
    assert shown & set(NAMES.values()) == {NAMES[n] for n in ("hung", "hole", "pipe", "joist")}


def test_timber_for_a_hung_item_or_a_service_is_told_apart():
    full = _with_fittings("laundry_and_practice_room", "uk", 600)
    frame = full.frame
    trough, moved = for_item("trough"), moved_for("22 mm left", ["waste"])
    serves = {"N1.2": (trough,), "N1.3": (STABILITY, trough), "S2": (MODULE, moved)}
    members = tuple(replace(m, serves=serves.get(m.mark, m.serves)) for m in frame.members)
    cut = full.parts.cut
    carcass = replace(cut.carcass, frame=replace(frame, members=members))
    changed = wc.Design(replace(full.parts, cut=replace(cut, carcass=carcass)), ())
    assert added_for(changed) == {"N1.2": "hung item", "S2": "service"}
    elevation = draw_elevation(_axes(), changed, "A")
    m = changed.members.set_index("mark")
    hatched, dotted = (
        [Path(corners) for path in shapes.get_paths() for corners in path.to_polygons()]
        for shapes in (elevation._hatched, elevation._dotted)
    )
    assert (len(hatched), len(dotted)) == (
        2,
        1,
    )  # N1.3 carries the trough too, though it would be there anyway
    for path, mark in ((hatched[0], "N1.2"), (hatched[1], "N1.3"), (dotted[0], "S2")):
        assert path.vertices[:, 0].min() == pytest.approx(m.loc[mark, "x"])
        assert path.vertices[:, 1].max() == pytest.approx(m.loc[mark, "y"] + m.loc[mark, "height"])
    texts = {t.get_text() for t in _shown(elevation)}
    assert {NAMES["hung timber"], NAMES["service timber"]} <= texts


def test_the_text_in_place_of_the_picture_names_fittings():
    full = _with_fittings("laundry_and_practice_room", "uk", 600)
    assert (
        " Hung on it: trough on 2 fixings. Coming through it: waste, hot water, cold water."
        in elevation_alt(full, "A")
    )
    assert " Hung on it: instrument rack on 4 fixings." in elevation_alt(full, "B")


def test_the_text_in_place_of_the_picture_tells_openings_from_the_left_as_seen_and_what_fails():
    full = wc.design(
        wc.Wall.load(data_folder() / "walls" / "laundry_and_practice_room.toml"), wc.Option(stud_centres=600)
    )
    (door,) = full.wall.openings
    (clear,) = full.frame.clears
    size = f"door, {(clear.right - clear.left) / 10:g} mm wide and {clear.top / 10:g} mm high"
    assert f"Openings: {size}, {door.left / 10:g} mm from the left." in elevation_alt(full, "A")
    from_right = (full.wall.length - clear.right) / 10
    assert f"Openings: {size}, {from_right:g} mm from the left." in elevation_alt(full, "B")
    fails = full.checks.query("verdict == 'fail'")
    assert len(fails)
    for check, subject in zip(fails["check"], fails["subject"], strict=True):
        assert f"{subject}: {check}" in elevation_alt(full, "A")
    assert "fail" not in elevation_alt(wc.Design(full.parts, ()), "A")


# --- layouts side by side


def test_layouts_are_drawn_at_one_scale_each_under_what_it_costs(wall, design):
    other = wc.design(replace(wall, joists_above=Joists("across", 2100, 4500)), wc.Option(stud_centres=600))
    pair = [("At 400", design), ("At 600", other)]
    figure = compare_layouts(pair, "A")
    figure.canvas.draw()
    scales = {
        round(float(np.diff(ax.transData.transform([(0, 0), (1000, 0)])[:, 0])[0]), 3) for ax in figure.axes
    }
    assert len(figure.axes) == 2
    assert len(scales) == 1
    assert figure.axes[0].get_position().y0 > figure.axes[1].get_position().y0
    texts = [t.get_text() for t in figure.texts]
    for name, d in pair:
        lines = d.takeoff[d.takeoff["group"].isin(["timber", "sheet"])]
        assert f"{name}: GBP {lines['cost'].sum():,.2f} for timber and boards" in texts
        told = next(t for t in texts if f"{len(d.sheet_cuts)} sheets" in t)
        assert f"{d.summary()['studs']} studs, {d.summary()['noggins']} noggins" in told
        assert f"{d.summary()['cuts']} cuts" in told


def test_the_text_for_layouts_says_which_costs_least(design, wall):
    other = wc.design(wall, wc.Option(stud_centres=600))
    costs = {"At 400": design, "At 600": other}
    material = {n: sum(d.cost_cents[k] for k in ("timber", "board")) / 100 for n, d in costs.items()}
    least = min(material, key=material.get)
    text = layouts_alt(list(costs.items()))
    assert text.endswith(
        f"{least} costs least, {max(material.values()) - min(material.values()):,.2f} less than the dearest."
    )


def test_what_was_put_in_is_told_by_whom_it_serves():
    full = _with_fittings("laundry_and_practice_room", "uk", 600)
    trough, moved = for_item("trough"), moved_for("22 mm left", ["waste"])
    serves = {"N1.2": (trough,), "N1.3": (trough,), "S2": (MODULE, moved), "S3": (trough,)}
    frame = full.frame
    members = tuple(replace(m, serves=serves.get(m.mark, m.serves)) for m in frame.members)
    cut = full.parts.cut
    carcass = replace(cut.carcass, frame=replace(frame, members=members))
    changed = wc.Design(replace(full.parts, cut=replace(cut, carcass=carcass)), ())
    assert added_words(full) == ""
    assert added_words(changed) == "for waste: 1 stud put aside; for trough: 1 stud, 2 noggins"
