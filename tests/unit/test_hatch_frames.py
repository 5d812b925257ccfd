"""The timber round a hatch and over a door, member by member, on a wall drawn by hand.

3000 x 2400, 38x89, studs at 600 from the left, no noggins unless told: end studs 0-38 and 2962-3000, studs with their
middles at 600, 1800 and 2400 and the one at 1200 cut by the opening, which is 600 wide from 1000; jamb studs 962-1000
and 1600-1638; plates 38 high, so that studs run from 38 to 2362.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest

import wallcalc as wc
from wallcalc.given.wall import Opening

UK = wc.Rules.load("uk").with_values({"joint.tolerance": 0})
BARE = UK.with_values({"frame.stability_rows": False})
KING = BARE.with_values({"frame.jamb": "king and trimmer"})


def wall(kind: str = "hatch", sill: float | None = 900, top: float = 1700) -> wc.Wall:
    low = 0 if kind == "door" else sill
    opening = Opening(
        kind, 10_000, width=6000, height=round((top - low) * 10), sill=sill and round(sill * 10)
    )
    return wc.Wall("drawn by hand", 30_000, ((0, 24_000),), openings=(opening,))


def frame(given: wc.Wall, rules: wc.Rules = BARE, **option) -> Counter:
    """How often each role stands at (x, y, width, height), mm."""
    chosen = wc.Option(**{"sheet": "1200x2400", "stud_centres": 600, **option})
    design = wc.design(given, chosen, rules=rules, model="closed form", seconds=0.05)
    rows = design.members[["role", "x", "y", "width", "height", "length"]].itertuples(index=False)
    assert all(r.length == max(r.width, r.height) or r.role in ("sill", "noggin") for r in rows)
    return Counter(
        tuple(r) for r in design.members[["role", "x", "y", "width", "height"]].itertuples(index=False)
    )


AROUND = [
    ("sole plate", 0, 0, 3000, 38),
    ("head plate", 0, 2362, 3000, 38),
    ("end stud", 0, 38, 38, 2324),
    ("end stud", 2962, 38, 38, 2324),
    *(("stud", x - 19, 38, 38, 2324) for x in (600, 1800, 2400)),
    ("jamb stud", 962, 38, 38, 2324),
    ("jamb stud", 1600, 38, 38, 2324),
]


def short(low: float, high: float):
    return ("short stud", 1181, low, 38, high - low)


HEAD, SILL = ("door head", 1000, 1700, 600, 38), ("sill", 1000, 862, 600, 38)


def test_a_hatch_has_head_sill_and_short_studs():
    assert frame(wall()) == Counter([*AROUND, HEAD, SILL, short(1738, 2362), short(38, 862)])


def test_marks_run_from_the_left_and_from_the_floor_up():
    design = wc.design(wall(), wc.Option(sheet="1200x2400"), rules=UK, model="closed form", seconds=0.05)
    at = {m.mark: (m.x, m.y) for m in design.members.itertuples()}
    assert at["SS1"] == (1181, 38)
    assert at["SS2"] == (1181, 1738)
    for prefix in ("S", "ES", "JS"):
        marked = [at[f"{prefix}{n}"] for n in range(1, 9) if f"{prefix}{n}" in at]
        assert len(marked) > 1
        assert marked == sorted(marked)
    assert [at[f"N1.{n}"] for n in range(1, 6)] == [(left, 1181) for left, _ in OUTSIDE]


@pytest.mark.parametrize(
    ("sill", "under"),
    [
        (38, []),  # starts on the sole plate: no sill
        (76, [("sill", 1000, 38, 600, 38)]),  # a sill on the plate, no stud under it
        (114, [("sill", 1000, 76, 600, 38), short(38, 76)]),  # the shortest stud, as long as it is thick
    ],
)
def test_under_a_low_hatch(sill, under):
    assert frame(wall(sill=sill)) == Counter([*AROUND, HEAD, short(1738, 2362), *under])


@pytest.mark.parametrize(
    ("top", "over"),
    [
        (2362, []),  # ends at the head plate: no head
        (2324, [("door head", 1000, 2324, 600, 38)]),  # a head under the plate, no stud over it
        (2286, [("door head", 1000, 2286, 600, 38), short(2324, 2362)]),
    ],
)
def test_over_a_high_hatch(top, over):
    assert frame(wall(top=top)) == Counter([*AROUND, SILL, short(38, 862), *over])


@pytest.mark.parametrize(
    ("sill", "top", "rule", "found"),
    [
        (38.1, 1700, "sill", "38.1 mm leaves no room"),
        (75.9, 1700, "sill", "75.9 mm leaves no room"),
        (76.1, 1700, "short studs", "0.1 mm between the sill"),
        (113.9, 1700, "short studs", "37.9 mm between the sill"),
        (900, 2286.1, "short studs", "37.9 mm between the door head"),
        (900, 2323.9, "short studs", "0.1 mm between the door head"),
        (900, 2324.1, "door head", "37.9 mm between the opening"),
        (900, 2361.9, "door head", "0.1 mm between the opening"),
    ],
)
def test_no_stud_shorter_than_it_is_thick_is_cut(sill, top, rule, found):
    """A tenth of a millimetre off what fits is refused, and where it would fit is told."""
    with pytest.raises(wc.OptionError) as caught:
        frame(wall(sill=sill, top=top))
    (refusal,) = caught.value.refusals
    assert refusal.rule == rule
    assert found in refusal.found


@pytest.mark.parametrize(
    ("sill", "top", "moves"),
    [
        (38.1, 1700, (38, 76)),
        (75.9, 1700, (76,)),
        (76.1, 1700, (76, 114)),
        (113.9, 1700, (76, 114)),
    ],
)
def test_the_moves_a_refusal_names_are_buildable(sill, top, moves):
    for other in moves:
        frame(wall(sill=other, top=top))


def test_king_studs_and_trimmers_at_a_hatch():
    """Trimmers 962-1000 and 1600-1638 stop at the head, which lies on them; kings stand outside, the sill between."""
    around = [m for m in AROUND if m[0] != "jamb stud"]
    kings = [("jamb stud", 924, 38, 38, 2324), ("jamb stud", 1638, 38, 38, 2324)]
    trimmers = [("trimmer", 962, 38, 38, 1662), ("trimmer", 1600, 38, 38, 1662)]
    over = [("door head", 962, 1700, 676, 38), short(1738, 2362)]
    assert frame(wall(), KING) == Counter([*around, *kings, *trimmers, *over, SILL, short(38, 862)])


def test_a_door_stops_the_sole_plate():
    around = [m for m in AROUND if m[0] != "sole plate"]
    plates = [("sole plate", 0, 0, 1000, 38), ("sole plate", 1600, 0, 1400, 38)]
    assert frame(wall("door", None)) == Counter([*around, *plates, HEAD, short(1738, 2362)])


# --- noggins: one row at mid-height, 1181 to 1219


def row(*spans, y=1181):
    return {("noggin", a, y, b - a, 38) for a, b in spans}


def noggins(given: wc.Wall, **values) -> set:
    rules = UK.with_values({key.replace("__", "."): value for key, value in values.items()})
    return {m for m in frame(given, rules) if m[0] == "noggin"}


OUTSIDE = ((38, 581), (619, 962), (1638, 1781), (1819, 2381), (2419, 2962))


def test_a_row_beside_a_hatch():
    assert noggins(wall()) == row(*OUTSIDE)


@pytest.mark.parametrize(("least", "spans"), [(143, OUTSIDE), (143.1, (*OUTSIDE[:2], *OUTSIDE[3:]))])
def test_a_bay_as_wide_as_the_shortest_noggin_has_one(least, spans):
    """The bay from the jamb stud at 1638 to the stud at 1781 is 143 wide."""
    assert noggins(wall(), frame__noggin_min=least) == row(*spans)


def test_a_row_over_or_under_a_hatch_is_not_cut_by_it():
    """A hatch of 1300-1900, under which the row runs on between the jamb studs and the short stud at 1200."""
    assert noggins(wall(sill=1300, top=1900)) == row(*OUTSIDE, (1000, 1181), (1219, 1600))


@pytest.mark.parametrize(("least", "inside"), [(1262, True), (1262.1, False)])
def test_over_a_door_head_a_row_stands_where_there_is_height_enough(least, inside):
    """A door of 1100 has 2400 - 1100 - 38 = 1262 over its head's upper edge."""
    door = wall("door", None, 1100)
    over = ((1000, 1181), (1219, 1600)) if inside else ()
    assert noggins(door, frame__noggin_over_door_from=least) == row(*OUTSIDE, *over)


@pytest.mark.parametrize(
    ("top", "y"),
    [
        (1140, 1181),  # the head's upper edge at 1178: in its place
        (1143, 1181),  # touching the head
        (1160, 1198),  # moved up to lie on the head
        (1180, 1218),  # all but its upper 1 mm is behind the head
        (1181, None),  # the head stands where the row would
        (1200, None),  # the row's height is in the opening
    ],
)
def test_a_row_near_a_door_head_moves_clear_of_it(top, y):
    door = wall("door", None, top)
    found = noggins(door, frame__noggin_over_door_from=100)
    over = row((1000, 1181), (1219, 1600), y=y) if y else set()
    assert found == row(*OUTSIDE) | over


@pytest.mark.parametrize(("height", "rows"), [(2400, (1200,)), (2400.1, (800, 1600)), (3600, (1200, 2400))])
def test_rows_by_height(height, rows):
    given = replace(wall("door", None, 2000), openings=(), heights=((0, round(height * 10)),))
    ys = {m[2] for m in noggins(given)}
    # heights of rows are whole mm
    assert ys == {y - 19 for y in rows}


@pytest.mark.parametrize(
    ("tolerance", "tall"),
    [(3, 38), (3.1, 76)],  # 2 x (10 + 6 + tolerance) of timber behind a joint of bound edges: 38, 38.2
)
def test_a_joint_across_the_studs_has_timber_enough(tolerance, tall):
    """Boards on their side, 1200 down from the ceiling: the joint of both faces is at 1200."""
    given = replace(wall(), openings=())
    rules = UK.with_values({"joint.tolerance": tolerance})
    found = {
        m for m in frame(given, rules, board_orientation="horizontal", sheet="1200x2700") if m[0] == "noggin"
    }
    low, high = min(m[2] for m in found), max(m[2] + m[4] for m in found)
    assert (low, high) == (1200 - tall / 2, 1200 + tall / 2)
    assert {m[4] for m in found} == {38}
