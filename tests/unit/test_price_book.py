import csv
import pickle
from collections import defaultdict
from pathlib import Path

import pytest

import wallcalc as wc
from wallcalc.errors import PriceError
from wallcalc.shipped import data_folder
from wallcalc.trade.price_file import COLUMNS, GROUPS
from wallcalc.trade.prices import NEEDED_UNITS, PriceBook
from wallcalc.trade.rules import Rules

BROKEN = Path(__file__).parents[1] / "broken_files" / "prices"
SHIPPED = data_folder() / "prices.csv"
HEADER = ",".join(COLUMNS)
PRICE = "accepted: a price such as 12.34 (decimal point, at most two decimals)"


@pytest.fixture(scope="module")
def book():
    return PriceBook.load()


def test_every_shipped_row_says_that_it_is_invented():
    with SHIPPED.open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert {row["source"] for row in rows} == {"invented demo value"}
    assert {row["group"] for row in rows} == set(GROUPS) == set(NEEDED_UNITS)


def test_timber_comes_by_length_in_both_catalogues(book):
    metric = book.timber("38x89")
    assert [t.length for t in metric] == [24000, 30000, 36000, 42000, 48000, 54000]
    assert (metric[0].thickness, metric[0].depth, metric[0].section) == (380, 890, "38x89")
    inch = [t.length for t in book.timber("38x89", "inch")]
    # 92 5/8 in and 8, 10, 12, 14, 16 ft, to 0.1 mm
    assert inch == [23527, 24384, 30480, 36576, 42672, 48768]


def test_timber_over_4_8_m_is_dearer_by_the_metre_and_prices_are_not_one_rate(book):
    for section in ("38x63", "38x89", "38x140"):
        rates = [t.price / t.length for t in book.timber(section)]
        assert rates[-1] > max(rates[:-1])
        assert len({round(rate, 5) for rate in rates}) > 3


@pytest.mark.parametrize(
    "product",
    [
        "standard-9.5",
        "standard-12.5",
        "standard-15",
        "moisture-12.5",
        "moisture-15",
        "dense-12.5",
        "dense-15",
    ],
)
def test_metric_boards_come_in_four_sheets(book, product):
    sizes = {(s.width, s.length) for s in book.sheets(product)}
    assert sizes == {(9000, 18000), (12000, 24000), (12000, 27000), (12000, 30000)}
    assert book.board(product).thickness == round(float(product.split("-")[1]) * 10)


@pytest.mark.parametrize("product", ["standard-12.7", "standard-15.9", "moisture-12.7", "dense-15.9"])
def test_inch_boards_come_in_five_sheets(book, product):
    sizes = {(s.width, s.length) for s in book.sheets(product, "inch")}
    inches = [(48, 96), (48, 108), (48, 120), (48, 144), (54, 144)]
    assert sizes == {(w * 254, length * 254) for w, length in inches}
    with pytest.raises(
        KeyError, match=f"no sheet '{product}' in metric sizes in the price book 'prices'; there are: "
    ):
        book.sheets(product)


def test_boards_and_fills_are_named_from_thin_to_thick(book):
    assert book.boards() == (
        "standard-9.5",
        "standard-12.5",
        "standard-12.5-square",
        "standard-15",
        "moisture-12.5",
        "moisture-15",
        "dense-12.5",
        "dense-15",
    )
    assert book.boards("inch") == ("standard-12.7", "standard-15.9", "moisture-12.7", "dense-15.9")
    assert book.fills() == ("wool-25", "wool-50", "wool-75", "wool-90")
    assert [s.width for s in book.slabs("wool-50")] == [3700, 4000, 5700, 6000]
    assert {s.length for s in book.slabs("wool-50")} == {12000}
    assert book.fill("wool-75").thickness == 750


def test_physical_values_lie_where_such_products_do(book):
    # general-purpose board 9.5: 6.3-7.5, 12.5: 8.0-8.9, 15: 9.8-12 kg/m2 (common practice, no source);
    # 10 kg/m2 and more is what Approved Document E asks of a dense board, 10 kg/m3 of an absorbent
    for thickness, least, most in ((9.5, 6.3, 7.5), (12.5, 8.0, 8.9), (15, 9.8, 12)):
        assert least <= book.board(f"standard-{thickness:g}").surface_mass <= most
    for product in (*book.boards(), *book.boards("inch")):
        if book.board(product).kind == "dense":
            assert book.board(product).surface_mass >= 10
    for product in book.fills():
        fill = book.fill(product)
        assert 10 <= fill.density <= 60
        assert 5_000 <= fill.flow_resistivity <= 30_000


def test_items_hold_packs_and_a_screw_is_long_enough_for_two_layers(book):
    assert {i.product for i in book.items("fixing")} >= {
        "frame-screw",
        "plate-screw",
        "plate-anchor",
        "hung-screw",
    }
    lengths = [i.length for i in book.items("screw") if i.sizes == "metric"]
    assert lengths == sorted(lengths)
    assert max(lengths) >= 150 * 2 + 250  # two 15 mm boards and 25 mm of penetration
    assert book.item("joint-tape-90m").pack == 90
    with pytest.raises(KeyError, match=r"no group 'nails'"):
        book.items("nails")
    with pytest.raises(KeyError, match=r"no code 'joint-tape-91m'.*nearest: joint-tape-90m"):
        book.item("joint-tape-91m")


def test_a_name_that_is_not_there_is_told_with_what_is(book):
    with pytest.raises(KeyError, match=r"no timber '38x90' in metric sizes.*there are: 38x140, 38x63, 38x89"):
        book.timber("38x90")
    with pytest.raises(KeyError, match=r"no slab 'wool-60'.*nearest: wool-"):
        book.fill("wool-60")
    with pytest.raises(KeyError, match=r"no sizes 'feet'; accepted: metric, inch"):
        book.boards("feet")


def test_one_price_changed_changes_the_digest_and_only_that_price(book):
    dearer = book.with_price("38x89-2.4m", 999)
    assert dearer.timber("38x89")[0].price == 999
    assert book.timber("38x89")[0].price == 385
    assert dearer.digest != book.digest
    assert dearer.with_price("38x89-2.4m", "3.85") == book
    for wrong in (-1, "3,85", 3.85, True):
        with pytest.raises(
            PriceError, match=r"38x89-2.4m: found .*; accepted: whole cents from 0, or a text such as 12.34"
        ):
            book.with_price("38x89-2.4m", wrong)


def rewritten(tmp_path, *, separator=",", ending="\n", bom=False, turned=False):
    with SHIPPED.open(newline="", encoding="utf-8") as file:
        header, *rows = csv.reader(file)
    if turned:
        header, rows = header[::-1], [row[::-1] for row in rows][::-1]
    path = tmp_path / "mine.csv"
    with path.open("w", newline="", encoding="utf-8-sig" if bom else "utf-8") as file:
        writer = csv.writer(file, delimiter=separator, lineterminator=ending)
        writer.writerows([header, *rows])
    return path


@pytest.mark.parametrize(
    "how",
    [{"bom": True}, {"ending": "\r\n"}, {"separator": ";"}, {"turned": True}],
    ids=lambda how: next(iter(how)),
)
def test_the_way_a_file_is_written_does_not_change_the_book(tmp_path, book, how):
    path = rewritten(tmp_path, **how)
    assert path.read_bytes() != SHIPPED.read_bytes()
    mine = PriceBook.load(path)
    assert mine.digest == book.digest
    assert mine == book
    assert mine.boards() == book.boards()
    assert mine.timber("38x63") == book.timber("38x63")


def test_a_book_survives_a_process_boundary(book):
    assert pickle.loads(pickle.dumps(book)) == book


FILE_PROBLEMS = {
    "empty.csv": f"file: found nothing in it; accepted: a header line and rows; the header is {HEADER}",
    "header_only.csv": "file: found a header line and no rows; accepted: at least one row",
    "no_header.csv": "line 1: found no header line but 38x89-2.4m, timber, stud-38x89, softwood 2.4 m...;"
    f" accepted: this header as the first line, copied from data/prices.csv: {HEADER}",
    "wrong_number.csv": f'line 2, price: found "cheap"; {PRICE}',
    "negative_price.csv": f'line 2, price: found "-3.85"; {PRICE}',
    "decimal_comma_quoted.csv": f'line 2, price: found "3,85"; {PRICE}',
    "semicolons_decimal_comma.csv": f'line 2, price: found "3,85"; {PRICE}',
    "decimal_comma.csv": "line 2: found 20 cells; accepted: 19 cells, as the header;"
    " a decimal comma or a comma in a text makes more",
    "duplicate_code.csv": 'line 3, code: found "38x89-2.4m", which line 2 has too;'
    " accepted: a code of its own for each row",
    "unknown_group.csv": f'line 2, group: found "timbr"; accepted: one of {", ".join(GROUPS)}; nearest: timber',
    "missing_column.csv": f"line 1, price: found no such column; accepted: one each of {HEADER}",
    "not_utf8.csv": "line 1: found a byte that is not UTF-8 text (0xa3); accepted: a file saved as CSV UTF-8",
    "stray_quote.csv": "line 2: found ',' expected after '\"'; accepted: CSV;"
    ' a cell with " in it is written "like ""this"""',
    "not_there.csv": "file: found no file that can be read (No such file or directory);"
    " accepted: the path of a price book",
}


@pytest.mark.parametrize(("file", "text"), FILE_PROBLEMS.items(), ids=FILE_PROBLEMS)
def test_a_broken_file_says_line_column_found_and_accepted(file, text):
    with pytest.raises(PriceError) as caught:
        PriceBook.load(BROKEN / file)
    assert [str(p) for p in caught.value.problems] == [text]


def test_a_misspelt_column_is_told_with_the_nearest():
    with pytest.raises(PriceError, match=r"line 1, prise: found a column that is not known.*nearest: price"):
        PriceBook.load(BROKEN / "unknown_column.csv")


def test_every_problem_of_a_file_is_told_at_once():
    with pytest.raises(PriceError) as caught:
        PriceBook.load(BROKEN / "many.csv")
    assert {(p.field, p.found) for p in caught.value.problems} == {
        ("line 4, currency", '"EUR"'),
        ("line 4, surface_mass", "8.9"),
        ("line 5, sizes", '"metrik"'),
        ("line 5, board_kind", '"plain"'),
        ("line 5, edge", "nothing"),
        ("line 5, length", '"270000"'),
        ("line 5, surface_mass", '"0"'),
        ("line 5, pack", '"1.5"'),
        ("line 6, source", "nothing"),
        ("line 6, price", '"3.855"'),
        ("line 6, section", '"38x63"'),
        ("line 7, currency", '"pounds"'),
        ("line 7, density", "nothing"),
    }


def without(*products):
    """Return the shipped book as a file's content, some products left out."""
    lines = SHIPPED.read_text(encoding="utf-8").splitlines()
    kept = [line for line in lines if line.split(",")[2] not in products]
    assert len(kept) < len(lines)
    return "\n".join(kept).encode()


def test_all_that_a_design_would_look_for_in_vain_is_told_when_the_book_is_loaded():
    with pytest.raises(PriceError) as caught:
        PriceBook.loads(without("joint-tape", "hung-screw", "moisture-12.5"), "mine")
    assert {(p.field, p.found) for p in caught.value.problems} == {
        ("product joint-tape", "no row in metric sizes"),
        ("product hung-screw", "no row in metric sizes"),
        ("product moisture-12.5", "no row in metric sizes"),
        ("product joint-tape", "no row in inch sizes"),
        ("product hung-screw", "no row in inch sizes"),
    }
    assert any("for the rules' order.tape asks for it" in p.accepted for p in caught.value.problems)


def test_a_book_that_sells_in_one_kind_of_sizes_is_asked_for_no_other():
    lines = SHIPPED.read_text(encoding="utf-8").splitlines()
    metric = [lines[0], *(line for line in lines if ",metric," in line or ",both," in line)]
    book = PriceBook.loads("\n".join(metric).encode(), "mine")
    assert book.lacking(Rules.load("uk")) == []
    assert {p.field for p in book.lacking(Rules.load("us"))} >= {"timber", "product standard-12.7"}
    with pytest.raises(PriceError, match="no row in inch sizes"):
        PriceBook.loads("\n".join(metric).encode(), "mine", Rules.load("us"))


def test_the_products_asked_for_are_those_that_the_rules_name():
    rules = Rules.load("uk").with_values({"order.tape": "paper-tape"})
    (problem,) = PriceBook.load().lacking(rules)
    assert (problem.field, problem.found) == ("product paper-tape", "no row in metric sizes")
    mine = SHIPPED.read_bytes().replace(b"joint-tape,", b"paper-tape,")
    assert PriceBook.loads(mine, "mine", rules).lacking(rules) == []


def test_a_book_given_by_its_path_has_to_have_what_the_rules_of_the_design_name(tmp_path):
    path = tmp_path / "mine.csv"
    path.write_bytes(SHIPPED.read_bytes().replace(b"joint-tape,", b"paper-tape,"))
    wall = wc.Wall.load(data_folder() / "walls" / "closet.toml")
    with pytest.raises(PriceError, match="product joint-tape: found no row in metric sizes"):
        wc.design(wall, prices=path)
    design = wc.design(wall, rules=Rules.load("uk").with_values({"order.tape": "paper-tape"}), prices=path)
    assert "paper-tape" in set(design.takeoff["item"])


def test_screws_have_to_go_through_two_layers_of_the_thickest_board():
    lines = SHIPPED.read_text(encoding="utf-8").splitlines()
    rows = [line.split(",") for line in lines if ",board-screw," in line]
    long = [",".join(r) for r in rows if float(r[-7]) >= 2 * 15 + 25]
    assert long
    short = "\n".join(line for line in lines if line not in long).encode()
    with pytest.raises(
        PriceError, match=r"product board-screw: found none longer than .* accepted: one of 55 mm"
    ):
        PriceBook.loads(short, "mine")


def test_a_pack_of_slabs_is_cheaper_by_the_square_metre_in_no_fixed_ratio(book):
    by_area = defaultdict(set)
    for product in book.fills():
        for slab in book.slabs(product):
            by_area[product].add(
                round(slab.price_per_pack / (slab.per_pack * slab.width * slab.length) * 1e6, 3)
            )
    assert all(len(rates) > 2 for rates in by_area.values())
