"""The demo walls: each is built whole under its rules, and together they show everything that a wall file can say."""

from __future__ import annotations

from pathlib import Path

import pytest

import wallcalc as wc
from wallcalc.shipped import data_folder

PATHS = sorted((data_folder() / "walls").glob("*.toml"))
WALLS = {p.stem: wc.Wall.load(p) for p in PATHS}


def built(path: Path, **option: object) -> wc.Design:
    inches = "feet_inches" in path.stem
    choice = wc.Option(stud_centres=406.4 if inches else 600, **option)
    return wc.design(WALLS[path.stem], choice, rules="us" if inches else "uk", model="closed form")


@pytest.mark.parametrize("orientation", ["vertical", "horizontal"])
@pytest.mark.parametrize("path", PATHS, ids=lambda p: p.stem)
def test_every_demo_wall_is_built_with_backed_edges_carried_fixings_and_holes(path, orientation):
    design = built(path, board_orientation=orientation)
    checks = design.checks
    assert not ((checks["check"] == "edge backing") & (checks["verdict"] == "fail")).any()
    held = design.hung_fixings
    assert len(held) == sum(len(item.fixings) for item in design.wall.hung)
    assert (held["member"] != "").all()
    holes = design.board_holes
    for service in design.wall.services:
        sides = set(holes.loc[holes["service"] == service.name, "side"])
        assert service.side in sides


def test_joints_over_the_mitre_of_two_plates_are_backed():
    wall = WALLS["cellar_uneven_floor"]
    design = wc.design(wall, wc.Option(stud_layout="fitted"), model="closed form")
    assert any(j.x1 == j.x2 == 15_000 for j in design.frame.joints)  # the floor turns there
    rows = design.checks[design.checks["check"] == "edge backing"]
    assert set(rows["verdict"]) == {"ok"}


def test_together_they_show_all_that_a_wall_file_can_say():
    walls = WALLS.values()
    hung = [item for w in walls for item in w.hung]
    services = [s for w in walls for s in w.services]
    assert any(item.line for item in hung)
    assert any(item.pad for item in hung)
    assert {s.kind for s in services} >= {"pipe", "waste", "socket"}
    assert {s.goes for s in services} >= {"up", "down", "not told"}
    assert any(s.to for s in services)
    assert any(s.size for s in services)
    assert any(w.floor_levels for w in walls)
    assert any(len(w.heights) > 1 for w in walls)
    directions = {j.direction for w in walls for j in (w.joists_above, w.joists_below)}
    assert directions == {"across", "along", "unknown", "solid"}
    sockets = [[s for s in w.services if s.kind == "socket"] for w in walls]
    assert any({s.side for s in found} == {"A", "B"} for found in sockets)


def test_rules_that_ask_no_timber_behind_long_edges_fail_none_for_it():
    (path,) = [p for p in PATHS if "feet_inches" in p.stem]
    checks = built(path, board_orientation="horizontal").checks
    rows = checks[(checks["check"] == "edge backing") & checks["subject"].str.contains("long edges")]
    assert list(rows["subject"]) == [f"side {s}, layer 1, long edges across studs" for s in "AB"]
    assert set(rows["verdict"]) == {"ok"}
    strict = wc.Rules.load("us").with_values({"joint.back_long_edges": True})
    option = wc.Option(stud_centres=406.4, board_orientation="horizontal")
    asked = wc.design(WALLS[path.stem], option, rules=strict, model="closed form").checks
    level = asked[(asked["check"] == "edge backing") & asked["subject"].str.contains("horizontal joint")]
    assert len(level)
    assert set(level["verdict"]) == {"ok"}
