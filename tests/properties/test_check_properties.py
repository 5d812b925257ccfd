"""What must hold of checks on any wall: more timber never hurts, heavier items never help, widths add up."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

from hypothesis import assume, given, settings
from hypothesis import strategies as st

sys.path.insert(0, str(Path(__file__).parents[1] / "unit"))

from check_builders import UK, US, T, boarded, facts, studs_at

from wallcalc.checks import run_checks
from wallcalc.checks.supports import stud_lines
from wallcalc.given.parts import HungItem
from wallcalc.records import Frame, Member

STUD_CHECKS = ("stud bending", "stud shear", "stud deflection", "stud deflection in the end")


def uses(frame: Frame, checks: tuple[str, ...], rules=UK, **wall) -> dict[tuple[str, str], float]:
    """Greatest use of each check and case; field and jamb studs together, as adding timber may move the worst."""
    found: dict[tuple[str, str], float] = {}
    for row in run_checks(facts(frame, rules=rules, **wall)):
        if row.check in checks and row.use is not None:
            key = (row.check, row.case)
            found[key] = max(found.get(key, 0.0), row.use)
    return found


@st.composite
def walls(draw):
    length = draw(st.integers(1500, 7000))
    height = draw(st.integers(2200, 3400))
    section = draw(st.sampled_from(["38x63", "38x89", "38x140"]))
    count = draw(st.integers(1, 8))
    centres = sorted(
        draw(st.lists(st.integers(100, length - 100), min_size=count, max_size=count, unique=True))
    )
    centres = [c for i, c in enumerate(centres) if i == 0 or c - centres[i - 1] > 120]
    return studs_at(length, height, centres, section=section)


@given(walls(), st.integers(40, 6900), st.sampled_from([UK, US]))
@settings(max_examples=60, deadline=None)
def test_adding_a_stud_never_raises_a_studs_use(frame: Frame, at: int, rules) -> None:
    x = at * 10
    assume(380 <= x <= frame.length - 2 * T)
    assume(all(abs(m.x - x) >= T for m in frame.members if m.role in ("stud", "end stud")))
    like = next(m for m in frame.members if m.role == "stud")
    more = Member("S99", "double stud", like.section, x, T, T, like.height, like.length, like.depth)
    before = uses(frame, STUD_CHECKS, rules)
    after = uses(replace(frame, members=(*frame.members, more)), STUD_CHECKS, rules)
    assert set(after) == set(before)
    for key, use in after.items():
        assert use <= before[key] * (1 + 1e-6), key


@given(walls())
@settings(max_examples=40, deadline=None)
def test_widths_carried_add_up(frame: Frame) -> None:
    lines = stud_lines(frame)
    assert abs(sum(line.tributary for line in lines) - frame.length / 10) < 1e-6
    assert sum(line.pieces for line in lines) == sum(m.role in ("stud", "end stud") for m in frame.members)


@given(
    st.floats(1, 150),
    st.floats(0, 150),
    st.floats(0, 80),
    st.integers(0, 6000),
    st.sampled_from(["", "basin", "grab rail"]),
    st.booleans(),
)
@settings(max_examples=60, deadline=None)
def test_a_heavier_item_never_lowers_a_use(mass, extra, more, projection, kind, in_use) -> None:
    frame = boarded(studs_at(2400, 2400, [600, 1200, 1800], rows=(821,)), {"A": [600], "B": [1200]})
    item = HungItem("thing", "A", ((8000, 8400), (10000, 8400)), mass, extra, projection, kind=kind)
    heavy = replace(item, extra=extra + more) if in_use else replace(item, mass=mass + more)

    def worst(hung: HungItem) -> dict[str, float]:
        found: dict[str, float] = {}
        for row in run_checks(facts(frame, hung=(hung,))):
            if row.check.startswith("hung") and row.use is not None:
                found[row.check] = max(found.get(row.check, 0.0), row.use)
        return found

    before, after = worst(item), worst(heavy)
    assert set(before) == set(after)
    assert before
    for check, use in before.items():
        assert after[check] >= use * (1 - 1e-6), check
