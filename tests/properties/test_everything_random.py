"""Random walls with everything at once: openings, hung items, services, slopes, joists, both layouts.

A design keeps every rule, or says why there is none. What it writes is read back, and its totals are added up anew.
"""

from __future__ import annotations

import time
from collections import Counter
from functools import cache

import pandas as pd
import pytest
from random_everything import everything_case
from random_walls import build
from wall_oracles import faults_of

import wallcalc as wc
from wallcalc.output.export import SHEETS, export
from wallcalc.output.rebuild import rebuild

CHUNK, CHUNKS = 20, 6
EXPORTS = 4
SLOW = 12.0
"""More CPU time than a design of these walls may take, s; a few take 3 s on a quiet machine."""


@cache
def made(seed: int) -> tuple[wc.Design | wc.OptionError, float]:
    """The design or why it is refused, and the CPU time it took."""
    case = everything_case(seed)
    start = time.process_time()
    found = build(case, search_changes=False)
    return found, time.process_time() - start


def faults_and_time(seed: int) -> list[str]:
    """What is wrong with a design, or with a refusal."""
    found, took = made(seed)
    slow = [f"took {took:.1f} s"] if took > SLOW else []
    return slow + faults_of(found)


@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_every_wall_is_built_to_the_rules_or_refused_with_reasons(chunk):
    faults = [
        f"everything_case({seed}): {fault}"
        for seed in range(chunk * CHUNK, (chunk + 1) * CHUNK)
        for fault in faults_and_time(seed)
    ]
    assert not faults, f"{len(faults)} faults:\n" + "\n".join(faults[:20])


def designs() -> list[wc.Design]:
    return [d for seed in range(CHUNK * CHUNKS) if isinstance(d := made(seed)[0], wc.Design)]


def test_most_walls_can_be_built_and_have_something_of_everything():
    built = designs()
    assert len(built) >= 0.55 * CHUNK * CHUNKS
    assert {d.option.stud_layout for d in built} == {"module", "fitted"}
    assert {d.option.board_orientation for d in built} == {"vertical", "horizontal"}
    assert {d.option.layers_a + d.option.layers_b for d in built} >= {2, 3}
    assert {d.rules.value("catalogue.sizes") for d in built} == {"metric", "inch"}
    assert {d.wall.joists_above.direction for d in built} == {"across", "along", "unknown", "solid"}
    together = Counter(
        (bool(d.wall.hung), bool(d.wall.services), bool(d.wall.openings), not d.frame.profile.is_level)
        for d in built
    )
    assert together[True, True, True, True] >= 3
    assert together[True, True, True, False] >= 3
    roles = Counter(m.role for d in built for m in d.frame.members)
    assert roles["pattress"]
    assert roles["double stud"]
    assert any(d.frame.holes for d in built)
    assert any(d.frame.joist_noggins for d in built)


@pytest.mark.parametrize("number", range(EXPORTS))
def test_files_of_a_design_add_up_and_rebuild_it(tmp_path, number):
    built = designs()
    design = built[number * len(built) // EXPORTS]
    folder = tmp_path / "out"
    export(design, folder)
    assert (folder / SHEETS).stat().st_size > 10_000
    assert rebuild(folder) == (design.wall, design.option, design.rules, design.prices)
    order = pd.read_csv(folder / "order_list.csv")
    assert cents(order["cost"]).sum() == sum(design.cost_cents.values()) == round(design.cost * 100)
    assert (cents(order["unit_price"]) * order["bought"] == cents(order["cost"])).all()
    members = pd.read_csv(folder / "members.csv")
    joists = pd.read_csv(folder / "joist_noggins.csv")
    sawn = members[members["role"] != "pattress"]
    cut = pieces(pd.read_csv(folder / "timber_cuts.csv")["cuts"])
    assert sorted(cut) == sorted(
        [*sawn["mark"], *joists["mark"], *pd.read_csv(folder / "cleats.csv")["mark"]]
    )
    bars = pd.read_csv(folder / "timber_cuts.csv").groupby("stock").size()
    assert dict(bars) == {row.code: row.bought for row in order.itertuples() if row.group == "timber"}
    boards = pd.read_csv(folder / "boards.csv")
    sheets = pd.read_csv(folder / "sheet_cuts.csv")
    whole = sheets["sheet_length"] * sheets["sheet_width"] / 1e6
    used = pd.concat([boards["area"], members[members["role"] == "pattress"].eval("width * height / 1e6")])
    assert used.sum() <= whole.sum()
    bought = order[order["group"].isin(["sheet", "plywood"])]
    assert len(sheets) == bought["bought"].sum()
    served = " ".join(members["serves"].dropna())
    for item in design.wall.hung:
        assert item.name in served
    holes = pd.read_csv(folder / "board_holes.csv")
    assert set(holes["service"]) == {s.name for s in design.wall.services}


def cents(column: pd.Series) -> pd.Series:
    return (column * 100).round().astype(int)


def pieces(cuts: pd.Series) -> list[str]:
    return [piece.rsplit(" ", 1)[0] for text in cuts for piece in text.split("; ")]
