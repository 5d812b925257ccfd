"""What an option resolves to on a wall, and what is refused with a clear text."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import pytest

import wallcalc as wc
from wallcalc.designing.choices import default_board, resolve
from wallcalc.given.parts import Room

WALLS = Path(__file__).resolve().parents[2] / "data" / "walls"


@pytest.fixture(scope="module")
def uk():
    return wc.Rules.load("uk")


@pytest.fixture(scope="module")
def book():
    return wc.PriceBook.load()


@pytest.fixture(scope="module")
def plain():
    return wc.Wall.load(WALLS / "laundry_plain.toml")


def refusals(wall, option, uk, book):
    with pytest.raises(wc.OptionError) as caught:
        resolve(wall, option, uk, book)
    return {r.rule: r for r in caught.value.refusals}


def test_boards_follow_the_rooms(plain, uk, book):
    chosen = resolve(plain, wc.Option(), uk, book).carcass
    assert (chosen.product_a, chosen.product_b) == ("moisture-12.5", "standard-12.5")


def test_boards_named_win_over_the_rooms(plain, uk, book):
    chosen = resolve(plain, wc.Option(board_a="standard-12.5", board_b="dense-12.5"), uk, book).carcass
    assert (chosen.product_a, chosen.product_b) == ("standard-12.5", "dense-12.5")


@pytest.mark.parametrize(
    ("wet", "finish", "product"),
    [
        (False, "taped", "standard-12.5"),
        (False, "skim", "standard-12.5-square"),
        (True, "taped", "moisture-12.5"),
        (True, "skim", "moisture-12.5"),
    ],
)
def test_default_board_by_wetness_then_finish(uk, wet, finish, product):
    assert default_board(Room(wet=wet), finish, uk) == product


def test_lengths_are_whole_tenths(plain, uk, book):
    assert resolve(plain, wc.Option(stud_centres=406.4), uk, book).carcass.centres == 4064


def test_options_that_differ_in_the_fill_alone_share_frame_and_boards(plain, uk, book):
    empty, full = (resolve(plain, wc.Option(fill=f), uk, book) for f in (None, "wool-75"))
    assert empty.carcass == full.carcass
    assert full.fill == "wool-75"


# --- refused


def test_products_not_in_the_price_book_are_named_all_at_once(plain, uk, book):
    found = refusals(plain, wc.Option(board_a="standard-13", board_b="wood", fill="straw"), uk, book)
    assert set(found) == {"board_a", "board_b", "fill"}
    assert found["board_a"].found == "found 'standard-13', which the price book does not have"
    assert "standard-12.5" in found["board_a"].nearest_change
    assert found["fill"].nearest_change == "use one of wool-25, wool-50, wool-75, wool-90, None"


def test_a_section_without_timber_names_those_with(plain, uk, tmp_path):
    path = tmp_path / "prices.csv"
    rows = (WALLS.parent / "prices.csv").read_text(encoding="utf-8-sig").splitlines()
    path.write_text("\n".join(r for r in rows if not r.startswith("38x140")) + "\n", encoding="utf-8")
    found = refusals(plain, wc.Option(section="38x140"), uk, wc.PriceBook.load(path))
    assert found["section"].nearest_change == "use one of 38x63, 38x89"


def test_a_size_that_is_not_sold_names_those_that_are(plain, uk, book):
    found = refusals(plain, wc.Option(sheet="1000x2000"), uk, book)["sheet"]
    assert found.found == "no sheet of 1000x2000 in the price book"
    for size in ("1200x2400", "1200x2700", "1200x3000", "900x1800"):
        assert size in found.nearest_change


def test_what_hangs_heavy_and_what_backs_it_are_resolved(uk, book):
    wall = wc.Wall.load(WALLS / "laundry_and_practice_room.toml")
    given = resolve(wall, wc.Option(), uk, book).carcass
    assert given.hung.heavy == ("trough",)  # 1.5 kN by the rule for basins, over hung.double_studs_from
    assert given.hung.board == "ply-18"
    assert given.hung.board_thickness == 180
    assert [s.product for s in given.ply] == ["ply-18"]
    higher = uk.with_values({"hung.double_studs_from": 1501})
    assert resolve(wall, wc.Option(), higher, book).carcass.hung.heavy == ()
    bare = resolve(dataclasses.replace(wall, hung=()), wc.Option(), uk, book).carcass
    assert (bare.hung, bare.ply) == (None, ())
    found = refusals(wall, wc.Option(), uk.with_values({"pattress.product": "oak"}), book)
    assert "'oak'" in found["pattress.product"].found


def test_every_reason_at_once(uk, book):
    wall = wc.Wall.load(WALLS / "laundry_and_practice_room.toml")
    option = wc.Option(fill="straw", sheet="1000x2000")
    assert set(refusals(wall, option, uk, book)) == {"fill", "sheet"}


def test_the_study_keeps_the_reason(uk):
    wall = wc.Wall.load(WALLS / "worked_wall.toml")
    (row,) = wc.study(wall, [wc.Option(fill="straw")], rules=uk).to_dict("records")
    assert not row["buildable"]
    assert "'straw', which the price book does not have" in row["reason"]
