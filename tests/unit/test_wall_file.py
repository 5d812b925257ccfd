"""Wall files: read, refused with every problem at once, written back whole."""

from __future__ import annotations

import os
import re
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

import wallcalc as wc
from wallcalc.errors import WallError
from wallcalc.files import FileHeldError
from wallcalc.given.parts import Access, HungItem, Joists, Opening, Room, Service
from wallcalc.given.sense import height_at
from wallcalc.given.wall import Wall
from wallcalc.given.wall_file import dumps_wall

ROOT = Path(__file__).parents[2]
WALLS = sorted((ROOT / "data" / "walls").glob("*.toml"))
BROKEN = ROOT / "tests" / "broken_files" / "walls"
PLAIN = 'name = "x"\nlength = "3.84 m"\nheight = "2.62 m"\n'
LAUNDRY = ROOT / "data" / "walls" / "laundry_and_practice_room.toml"


def problems_of(text: str) -> list[str]:
    with pytest.raises(WallError) as caught:
        Wall.loads(text)
    return [str(p) for p in caught.value.problems]


# --- reading


def test_the_demo_wall_is_read_as_described():
    wall = Wall.load(LAUNDRY)
    assert wall == Wall(
        name="Laundry and practice room",
        length=38400,
        heights=((0, 26200),),
        room_a=Room("laundry", "utility", wet=True, tiled_to=13000, tile_mass=18.0),
        room_b=Room("practice room", "living"),
        openings=(Opening("door", 27000, leaf=7620, leaf_mass=24.0, rating=27.0),),
        hung=(
            HungItem("trough", "A", ((9200, 8400), (13200, 8400)), 46.0, 40.0, 4200, kind="basin"),
            HungItem(
                "instrument rack",
                "B",
                ((19200, 12000), (23200, 12000), (19200, 17000), (23200, 17000)),
                24.0,
                18.0,
                2800,
            ),
        ),
        services=(
            Service("waste", "A", (11200, 5200), 430, 100, "waste", goes="down"),
            Service("hot water", "A", (10000, 6200), 150, 100, goes="up"),
            Service("cold water", "A", (12400, 6200), 150, 100, goes="up"),
        ),
        joists_above=Joists("across", 2100, 4500),
        joists_below=Joists("solid"),
        access=Access(8000, 20000, 15000),
        finish="taped",
        ceiling="bare joists",
        floor="solid",
        left_end="masonry",
        right_end="masonry",
        skirting=950,
    )


def test_the_worked_wall_has_the_sizes_it_was_worked_with():
    wall = Wall.load(ROOT / "data" / "walls" / "worked_wall.toml")
    assert (wall.length, wall.heights) == (38400, ((0, 26200),))
    assert wall.openings == (Opening("door", 27000, width=8420, height=20300),)


def test_feet_and_inches_are_exact():
    wall = Wall.load(ROOT / "data" / "walls" / "den_feet_inches.toml")
    assert wall.length == 38481  # 151.5 in of 25.4 mm: 3848.1 mm
    assert wall.height == 24670  # 97 1/8 in: 2466.975 mm
    assert wall.openings[0].leaf == 7620
    assert wall.joists_above.centres == 4064
    assert wall.hung[0].mass == pytest.approx(35 * 0.45359237, rel=1e-12)


def test_the_same_wall_in_other_units_is_the_same_wall():
    metres = Wall.loads('name = "x"\nlength = "3.6576 m"\nheight = "2.4384 m"')
    assert metres == Wall.loads('name = "x"\nlength = 3657.6\nheight = 2438.4')
    assert metres == Wall.loads('name = "x"\nlength = "12 ft"\nheight = "96 in"')
    assert metres == Wall.loads('name = "x"\nlength = "12\'"\nheight = \'96"\'')


def test_tables_left_out_mean_none():
    wall = Wall.loads(PLAIN)
    assert wall == Wall("x", 38400, ((0, 26200),))
    assert (wall.openings, wall.hung, wall.services) == ((), (), ())


def test_the_way_in_is_read_in_part_or_whole_and_written_back():
    whole = PLAIN + '[access]\nwidth = "30 in"\nheight = 1981\nlanding = "0.9 m"\n'
    assert Wall.loads(whole).access == Access(7620, 19810, 9000)
    part = Wall.loads(PLAIN + '[access]\nwidth = "0.7 m"\n')
    assert part.access == Access(width=7000)
    assert '\n[access]\nwidth = "700 mm"\n' in dumps_wall(part)
    assert Wall.loads(PLAIN + "[access]\n").access == Wall.loads(PLAIN).access == Access()
    assert "access" not in dumps_wall(Wall.loads(PLAIN))


def test_what_the_way_in_cannot_be_is_refused():
    text = PLAIN + '[access]\nwidht = "0.7 m"\nheight = "20 mm"\nlanding = "wide"\n'
    height, landing, width = problems_of(text)
    assert height.startswith('access.height: found "20 mm"; accepted: a length from 300 mm to 12 m')
    assert landing.startswith('access.landing: found "wide"; accepted: ')
    assert width.startswith("access.widht: found an unknown key")
    assert 'accepted: "width", the nearest known key' in width
    assert any('"access"' in p for p in problems_of(PLAIN + '[acess]\nwidth = "0.7 m"\n'))


HUNG = '[[hung]]\nname = "rail"\nside = "B"\nmass = 2\n'


def test_a_fixing_line_gives_evenly_spaced_fixings_and_is_written_back_as_a_line():
    text = PLAIN + HUNG + 'fixing_line = [["1 m", "0.9 m"], ["2 m", "0.9 m"]]\nfixing_centres = "300 mm"\n'
    item = Wall.loads(text).hung[0]
    assert item.fixings == ((10000, 9000), (12500, 9000), (15000, 9000), (17500, 9000), (20000, 9000))
    assert (item.line, item.line_centres) == (((10000, 9000), (20000, 9000)), 3000)
    written = dumps_wall(Wall.loads(text))
    assert 'fixing_line = [["1 m", "900 mm"], ["2 m", "900 mm"]]\nfixing_centres = "300 mm"\n' in written
    assert "fixings" not in written
    upright = PLAIN + HUNG + 'fixing_line = [["1 m", "2 m"], ["1 m", "1.4 m"]]\nfixing_centres = "600 mm"\n'
    assert Wall.loads(upright).hung[0].fixings == ((10000, 20000), (10000, 14000))


def test_points_that_are_not_those_of_the_line_are_not_written(tmp_path):
    line = ((10000, 9000), (20000, 9000))
    item = HungItem("rail", "B", ((10000, 9000), (20000, 9000)), 2.0, line=line, line_centres=3000)
    with pytest.raises(WallError, match="a value that a wall file cannot hold"):
        Wall("x", 38400, ((0, 26200),), hung=(item,)).save(tmp_path / "wall.toml")


def test_a_service_has_a_size_a_run_and_a_way_out():
    box = '[[service]]\nname = "s"\nside = "A"\nkind = "socket"\nat = [1000, 450]\nsize = [146, 86]\n'
    socket = Wall.loads(PLAIN + box).services[0]
    assert (socket.size, socket.diameter, socket.goes, socket.to) == ((1460, 860), 1460, "not told", None)
    assert socket.opening == (9270, 4070, 10730, 4930)
    assert "diameter" not in dumps_wall(Wall.loads(PLAIN + box))
    run = '[[service]]\nname = "w"\nside = "A"\nkind = "waste"\nat = [1000, 450]\ndiameter = 43\n'
    run += 'to = [1900, 430]\ngoes = "down"\n'
    waste = Wall.loads(PLAIN + run).services[0]
    assert (waste.kind, waste.to, waste.goes, waste.size) == ("waste", (19000, 4300), "down", None)


def test_holes_that_only_touch_have_a_place_each_and_round_ones_clear_the_corner_of_a_box():
    pipe = '[[service]]\nname = "{}"\nside = "A"\nat = [{}, {}]\ndiameter = 40\n'
    box = '[[service]]\nname = "b"\nkind = "socket"\nside = "A"\nat = [1000, 500]\nsize = [100, 80]\n'
    assert Wall.loads(PLAIN + pipe.format("a", 1000, 500) + pipe.format("b", 1040, 500))
    assert Wall.loads(PLAIN + box + pipe.format("a", 1065, 555))  # 15 each way off the corner: 21 away
    (problem,) = problems_of(PLAIN + box + pipe.format("a", 1064, 554))  # 14 each way: 19.8 away
    assert problem.startswith('service[2].at: found [1064, 554]; accepted: a place clear of "b", which fills')
    assert problems_of(PLAIN + pipe.format("a", 1000, 500) + pipe.format("b", 1039, 500))


def test_a_cable_may_begin_in_a_box_as_the_box_tells_and_makes_no_hole_of_its_own():
    box = '[[service]]\nname = "b"\nkind = "socket"\nside = "A"\nat = [1000, 500]\nsize = [100, 80]\n'
    line = (
        '[[service]]\nname = "c"\nkind = "{}"\nside = "{}"\nat = [{}, 500]\ndiameter = 10\nto = [2000, 500]\n'
    )
    (told,) = problems_of(PLAIN + box + "to = [2000, 500]\n")
    assert told.endswith('give its cable as a service of kind "cable"')
    for text in (box + line.format("cable", "A", 1000), line.format("cable", "A", 1045) + box):
        made = wc.design(Wall.loads(PLAIN + text), rules="uk")
        assert {p.service for b in made.frame.boards for p in b.pierced} == {"b"}
        assert {h.service for h in made.frame.holes} == {"c"}
    assert problems_of(
        PLAIN + box + line.format("cable", "A", 1046)
    )  # half out of the box: a hole of its own
    assert problems_of(PLAIN + box + line.format("pipe", "A", 1000))
    apart = wc.design(Wall.loads(PLAIN + box + line.format("cable", "A", 1200)), rules="uk")
    assert {p.service for b in apart.frame.boards for p in b.pierced} == {"b", "c"}


def test_the_pad_of_a_fixing_is_wholly_on_the_wall():
    rail = HUNG + 'pad = "60 mm"\nfixings = [[{}, {}]]\n'
    assert Wall.loads(PLAIN + rail.format(30, 2590))
    (left,) = problems_of(PLAIN + rail.format(29, 1000))
    assert left.endswith("accepted: a place where all of it, 60 mm wide, is on the wall")
    (high,) = problems_of(PLAIN + rail.format(1000, 2591))
    assert high.endswith("accepted: a place where all of it, 60 mm high, is below the ceiling")
    door = '[[opening]]\nkind = "door"\nleft = 2000\nwidth = 800\nheight = 2000\n'
    assert Wall.loads(PLAIN + door + rail.format(1970, 1000))
    (beside,) = problems_of(PLAIN + door + rail.format(1971, 1000))
    assert beside.endswith("accepted: a point clear of opening[1], for there is no wall to hold a fixing")


def test_what_comes_through_both_linings_is_in_the_way_on_both():
    pipe = '[[service]]\nname = "a"\nside = "A"\nat = [1000, 500]\ndiameter = 40\ngoes = "{}"\n'
    item = HUNG + "fixings = [[1010, 500]]\n"
    assert Wall.loads(PLAIN + pipe.format("down") + item)
    (problem,) = problems_of(PLAIN + pipe.format("through") + item)
    assert problem.startswith('hung[1].fixings[1]: found [1010, 500]; accepted: a place clear of "a"')


def test_levels_of_the_floor_move_the_ceiling_and_what_stands_between():
    uneven = PLAIN + 'floor_levels = [["0 m", "20 mm"], ["1.92 m", 0], ["3.84 m", "60 mm"]]\n'
    wall = Wall.loads(uneven + HUNG + "fixings = [[0, 20], [0, 2640], [3840, 2680], [1920, 0]]\n")
    assert wall.floor_levels == ((0, 200), (19200, 0), (38400, 600))
    low, high = problems_of(uneven + HUNG + "fixings = [[0, 19], [1920, 2621]]\n")
    assert low.endswith("accepted: a point on the wall, no lower than the floor at 20 mm")
    assert high.endswith("accepted: a point on the wall, no higher than 2.62 m there")


def test_byte_order_mark_and_line_ends_of_any_system_are_accepted(tmp_path):
    expected = Wall.load(LAUNDRY)
    text = LAUNDRY.read_text(encoding="utf-8")
    for number, data in enumerate(
        [
            b"\xef\xbb\xbf" + text.encode(),
            text.replace("\n", "\r\n").encode(),
            b"\xef\xbb\xbf" + text.replace("\n", "\r\n").encode(),
            text.replace("\n", "\r").encode(),
        ]
    ):
        path = tmp_path / f"{number}.toml"
        path.write_bytes(data)
        assert Wall.load(path) == expected
    assert Wall.loads("\ufeff" + text) == expected


def test_a_file_in_another_encoding_says_so(tmp_path):
    path = tmp_path / "wall.toml"
    path.write_bytes(PLAIN.encode() + 'floor = "caf\xe9"\n'.encode("latin-1"))
    with pytest.raises(WallError) as caught:
        Wall.load(path)
    assert [str(p) for p in caught.value.problems] == [
        'line 4: found a byte that is not UTF-8 text (0xe9); accepted: a file saved as "UTF-8"'
    ]
    path.write_bytes(PLAIN.encode("utf-16"))
    with pytest.raises(WallError, match="line 1: found a byte that is not UTF-8 text"):
        Wall.load(path)


def test_a_file_too_large_or_absent_is_refused(tmp_path):
    path = tmp_path / "wall.toml"
    path.write_bytes(b"#" * 1_000_001)
    with pytest.raises(WallError, match="file: found more than 1,000,000 bytes"):
        Wall.load(path)
    with pytest.raises(WallError, match="no file that can be read"):
        Wall.load(tmp_path / "none.toml")


# --- refusing


@pytest.mark.parametrize("expected", sorted(BROKEN.glob("*.expected")), ids=lambda p: p.stem)
def test_every_problem_of_a_broken_file_is_told_word_for_word(expected):
    path = expected.with_suffix(".toml")
    with pytest.raises(WallError) as caught:
        Wall.load(path)
    assert [str(p) for p in caught.value.problems] == expected.read_text(encoding="utf-8").splitlines()
    count = len(caught.value.problems)
    head = f"{count} problem{'s' if count > 1 else ''} in the wall {path}:"
    assert str(caught.value).startswith(head + "\n  - ")


# The words between the brackets are those of Python's TOML reader and not ours.
@pytest.mark.parametrize(
    ("name", "start", "end"),
    [
        (
            "unit_outside_quotes",
            "line 3, column 15: found length = 3.84 m; accepted: TOML (",
            '); a value with a unit stands in quotes: length = "3.84 m"',
        ),
        (
            "comma_outside_quotes",
            "line 3, column 14: found length = 3840,5; accepted: TOML (",
            "); a decimal point in place of the comma",
        ),
        (
            "inch_mark_in_quotes",
            'line 3, column 17: found length = "12\' 6""; accepted: TOML (',
            '); within quotes write inches as in: "8 ft 4 in"',
        ),
        (
            "key_given_twice",
            'line 3, column 15: found length = "4 m"; accepted: TOML (cannot overwrite a value',
            ")",
        ),
        (
            "cut_short",
            'line 3, column 26: found height = [["0 m", "2 m"],; accepted: TOML (invalid value',
            ")",
        ),
    ],
)
def test_an_error_of_toml_gives_line_and_column_and_a_hint(name, start, end):
    (problem,) = problems_of((BROKEN / f"{name}.toml").read_text(encoding="utf-8"))
    assert problem.startswith(start)
    assert problem.endswith(end)


def test_every_broken_file_is_tested():
    names = {p.stem for p in BROKEN.glob("*.toml")}
    syntax = {
        "unit_outside_quotes",
        "comma_outside_quotes",
        "inch_mark_in_quotes",
        "key_given_twice",
        "cut_short",
    }
    assert names == {p.stem for p in BROKEN.glob("*.expected")} | syntax


@pytest.mark.parametrize("text", ["x = " + "[" * 5000, "x = " + "9" * 5000, "x = " + "{a=" * 3000], ids=len)
def test_what_no_reader_can_read_is_refused_and_not_a_crash(text):
    (problem,) = problems_of(text)
    assert problem.endswith("accepted: TOML as in the example walls")


@pytest.mark.parametrize(
    ("length", "likely"),
    [
        ("3.84", "3.84 m"),
        ('"3.84"', "3.84 m"),
        ('"3840 m"', "3.84 m"),
        ('"38.4 mm"', None),
        ("262", "2.62 m"),
        ("0", None),
        ('"40 m"', None),
    ],
)
def test_a_length_no_wall_has_is_refused_with_the_likely_one(length, likely):
    (problem,) = problems_of(f'name = "x"\nlength = {length}\nheight = "2.62 m"')
    hint = f'; did you mean "{likely}"?' if likely else ""
    assert problem == f"length: found {length}; accepted: a length from 300 mm to 30 m{hint}"


def test_a_leaf_is_read_without_rules_and_only_its_own_width_is_asked_to_fit():
    door = '[[opening]]\nkind = "door"\nleaf = "762 mm"\nleft = '
    assert Wall.loads(PLAIN + door + '"3.078 m"').openings[0].leaf == 7620
    assert problems_of(PLAIN + door + '"3.0781 m"') == [
        'opening[1].left: found "3.0781 m"; accepted: no more than 3.078 m, so that its 762 mm end within the '
        "wall's 3.84 m, and less by what the lining beside the leaf takes"
    ]


def test_openings_may_touch_and_stand_over_one_another_but_not_overlap():
    hatch = '[[opening]]\nkind = "hatch"\nleft = {}\nwidth = 500\nheight = 500\nsill = {}\n'
    assert len(Wall.loads(PLAIN + hatch.format(1000, 0) + hatch.format(1500, 0)).openings) == 2
    assert len(Wall.loads(PLAIN + hatch.format(1000, 0) + hatch.format(1000, 500)).openings) == 2
    assert problems_of(PLAIN + hatch.format(1000, 0) + hatch.format(1499, 499)) == [
        "opening[2].left: found 1499; accepted: a place clear of opening[1], which fills 1 m to 1.5 m"
    ]


def test_a_hatch_is_no_higher_than_the_ceiling_over_all_its_width():
    slope = 'name = "x"\nlength = 3000\nheight = [[0, 2000], [1000, 2500], [2000, 1500], [3000, 2500]]\n'
    hatch = '[[opening]]\nkind = "hatch"\nleft = 1500\nwidth = 1000\nsill = 1000\nheight = {}\n'
    assert Wall.loads(slope + hatch.format(500)).openings[0].height == 5000
    (problem,) = problems_of(slope + hatch.format(501))  # both ends are under 2 m, the valley is at 1.5 m
    assert "a top no higher than the wall there, 1.5 m" in problem


def test_the_height_between_two_points_is_on_the_straight_line():
    heights = ((0, 10000), (30000, 20000))
    assert height_at(heights, 10000) == Fraction(40000, 3)
    assert [height_at(heights, x) for x in (-1, 0, 30000, 40000)] == [10000, 10000, 20000, 20000]


# --- writing


@pytest.mark.parametrize("path", WALLS, ids=lambda p: p.stem)
@pytest.mark.parametrize("units", ["m", "mm", "ft-in"])
def test_a_shipped_wall_is_the_same_after_writing_and_reading(path, units, tmp_path):
    wall = Wall.load(path)
    saved = wall.save(tmp_path / "ünïcode 壁.toml", units)
    assert Wall.load(saved) == wall
    assert dumps_wall(Wall.load(saved), units).encode() == saved.read_bytes()


def test_shipped_walls_are_all_there_and_say_that_they_are_invented():
    assert {p.stem for p in WALLS} >= {
        "laundry_and_practice_room",
        "laundry_plain",
        "worked_wall",
        "closet",
        "office_two_doors",
        "sloping_ceiling",
        "den_feet_inches",
    }
    for path in WALLS:
        assert path.read_text(encoding="utf-8").startswith("# An invented example")


def test_a_wall_written_in_feet_and_inches_reads_like_a_tape():
    wall = Wall.load(ROOT / "data" / "walls" / "den_feet_inches.toml")
    text = dumps_wall(wall, "ft-in")
    assert 'length = "12 ft 7 1/2 in"' in text
    assert 'height = "8 ft 1 1/8 in"' in text
    assert 'length = "3.8481 m"' in dumps_wall(wall)


def test_what_no_sixteenth_hits_is_written_in_mm():
    assert 'length = "3840.1 mm"' in dumps_wall(Wall("x", 38401, ((0, 26200),)), "ft-in")


def test_unknown_units_are_refused():
    with pytest.raises(ValueError, match='units: found "yards"; accepted: one of mm, m, ft-in'):
        dumps_wall(Wall.load(LAUNDRY), "yards")


def test_wall_load_and_save_are_the_same_functions(tmp_path):
    wall = Wall.load(LAUNDRY)
    path = wall.save(tmp_path / "wall.toml")
    assert path == tmp_path / "wall.toml"
    assert Wall.load(path) == wall


@pytest.mark.parametrize(
    "wall",
    [
        Wall("x", 100, ((0, 26200),)),
        Wall("", 38400, ((0, 26200),)),
        Wall("two\nlines", 38400, ((0, 26200),)),
        Wall("half a character \ud800", 38400, ((0, 26200),)),
        Wall("x", 38400, ((0, 26200),), openings=(Opening("door", 37000, leaf=7620),)),
        Wall("x", 38400, ((0, 26200),), finish="paint"),
    ],
)
def test_a_wall_that_could_not_be_loaded_again_is_not_written(wall, tmp_path):
    path = tmp_path / "wall.toml"
    path.write_text("as it was", encoding="utf-8")
    with pytest.raises(WallError):
        wall.save(path)
    assert path.read_text(encoding="utf-8") == "as it was"
    assert os.listdir(tmp_path) == ["wall.toml"]


def test_a_failed_write_leaves_the_old_file_and_no_other(tmp_path, monkeypatch):
    wall = Wall.load(LAUNDRY)
    path = wall.save(tmp_path / "wall.toml")
    before = path.read_bytes()

    def held_open(source, target):
        raise PermissionError(13, "held open")

    monkeypatch.setattr(os, "replace", held_open)
    with pytest.raises(FileHeldError):
        replace(wall, name="another").save(path)
    assert path.read_bytes() == before
    assert os.listdir(tmp_path) == ["wall.toml"]


def test_the_wall_in_readme_can_be_read():
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    blocks = re.findall(r"```toml\n(.*?)```", text, re.DOTALL)
    wall = Wall.loads("\n".join(blocks))
    assert len(blocks) == 2
    assert [s.goes for s in wall.services] == ["down", "not told"]
    assert len(wall.hung[0].fixings) == 4
    height, levels = re.findall(r"`((?:height|floor_levels) = [^`]+)`", text)
    uneven = Wall.loads(f'name = "x"\nlength = "3.2 m"\n{height}\n{levels}\n')
    assert (len(uneven.heights), len(uneven.floor_levels)) == (2, 2)
