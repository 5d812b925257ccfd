import ast
import pickle
import tomllib
from pathlib import Path

import pytest

import wallcalc
from wallcalc.errors import RuleError
from wallcalc.shipped import data_folder
from wallcalc.trade.rule_file import ranges
from wallcalc.trade.rules import SHIPPED, STATUSES, Rules

BROKEN = Path(__file__).parents[1] / "broken_files" / "rules"
UK = data_folder() / "rules" / "uk.toml"


def changed(tmp_path, *swaps, name="mine.toml"):
    """Return the path of a copy of the uk rules with some texts swapped, each of which must be there once."""
    text = UK.read_text(encoding="utf-8")
    for old, new in swaps:
        assert text.count(old) == 1, old
        text = text.replace(old, new)
    path = tmp_path / name
    path.write_text(text, encoding="utf-8")
    return path


def gap(value):
    return ('[joint.gap]\nvalue = 0\nunit = "mm"', f'[joint.gap]\nvalue = {value}\nunit = "mm"')


@pytest.mark.parametrize("name", SHIPPED)
def test_every_value_has_a_source_and_a_status(name):
    raw = tomllib.loads((data_folder() / "rules" / f"{name}.toml").read_text(encoding="utf-8"))
    assert raw["title"]
    assert raw["edition"]
    seen = 0
    for part in raw.values():
        waiting = [part] if isinstance(part, dict) else list(part) if isinstance(part, list) else []
        while waiting:
            table = waiting.pop()
            below = [v for v in table.values() if isinstance(v, dict)]
            if below:
                waiting += below
                continue
            assert table["source"].strip(), table
            assert table["status"] in STATUSES, table
            seen += 1
    assert seen > 200


def test_both_shipped_sets_have_the_same_rules_of_the_same_kinds():
    uk, us = (Rules.load(name) for name in SHIPPED)
    assert set(uk.keys()) == set(us.keys())
    assert set(uk.tables()) == set(us.tables())
    for key in sorted(uk.keys()):
        assert type(uk.value(key)) is type(us.value(key)) or not isinstance(uk.value(key), (str, bool)), key


def rule_names_in_the_code():
    """Yield (file, method, name) for every rule or table that the package asks for by a literal name."""
    for path in sorted(Path(wallcalc.__file__).parent.rglob("*.py")):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Attribute) and node.args:
                first = node.args[0]
                if node.func.attr in ("value", "tenths", "rule", "rows") and isinstance(first, ast.Constant):
                    yield path.name, node.func.attr, first.value


def test_every_rule_that_the_code_asks_for_by_name_is_there():
    uk = Rules.load("uk")
    asked = [(file, how, name) for file, how, name in rule_names_in_the_code() if isinstance(name, str)]
    assert asked
    missing = [a for a in asked if a[2] not in (uk.tables() if a[1] == "rows" else uk.keys())]
    assert missing == []


def test_products_named_by_rules_are_in_the_price_book():
    from wallcalc.trade.prices import PriceBook

    book = PriceBook.load()
    products = {
        item.product
        for group in ("screw", "fixing", "tape", "compound", "sealant", "adhesive")
        for item in book.items(group)
    }
    for name in SHIPPED:
        rules = Rules.load(name)
        for key in sorted(rules.keys()):
            if key.startswith("order."):
                assert rules.value(key) in products, key
        sizes = rules.value("catalogue.sizes")
        for key in ("board.default", "board.default_wet", "board.default_skim", "pattress.product"):
            assert book.sheets(rules.value(key), sizes), key
        for depth in (63, 89, 140):
            assert book.timber(f"38x{depth}", sizes)


@pytest.mark.parametrize(
    ("name", "key", "tenths"),
    [
        ("uk", "frame.max_centres", 6000),
        ("us", "frame.max_centres", 6096),  # 24 in of 25.4 mm
        ("us", "joint.jamb_fail", 1524),
        ("us", "screw.penetration", 159),  # 5/8 in = 15.875 mm, to the nearest 0.1
        ("us", "door.leaf_height", 20320),
        ("us", "board.floor_gap", 127),
    ],
)
def test_lengths_are_whole_tenths_of_a_millimetre(name, key, tenths):
    assert Rules.load(name).tenths(key) == tenths


@pytest.mark.parametrize(
    ("value", "unit", "tenths"),
    [
        ("0.05", "mm", 1),
        ("0.04", "mm", 0),
        ("1", "cm", 100),
        ("1.2", "m", 12_000),
        ("2", "ft", 6096),
        ("0.3", "in", 76),
    ],
)
def test_every_unit_of_length_is_converted_exactly_and_halves_go_up(tmp_path, value, unit, tenths):
    old = '[joint.layer_offset]\nvalue = 600\nunit = "mm"'
    path = changed(tmp_path, (old, f'[joint.layer_offset]\nvalue = {value}\nunit = "{unit}"'))
    assert Rules.load(path).tenths("joint.layer_offset") == tenths


def test_a_rule_that_is_no_length_has_no_tenths():
    with pytest.raises(
        TypeError, match=r"'frame\.heavy_leaf' is no length: found 35 kg; accepted: a number in mm"
    ):
        Rules.load("uk").tenths("frame.heavy_leaf")


def test_a_name_not_known_is_told_with_the_nearest():
    uk = Rules.load("uk")
    with pytest.raises(
        KeyError, match=r"no rule 'joint\.edge_bond' in the rules 'uk'; nearest: joint\.edge_bound"
    ):
        uk.value("joint.edge_bond")
    with pytest.raises(KeyError, match=r"nearest: joint\.gap"):
        uk.tenths("joint.gaps")
    with pytest.raises(KeyError, match=r"no table 'board_spans'.*nearest: board_span"):
        uk.rows("board_spans")


def test_rows_are_copies():
    uk = Rules.load("uk")
    uk.rows("board_span")[0]["max_centres"] = 1
    assert uk.rows("board_span")[0]["max_centres"] == 450


def test_a_changed_value_says_that_the_user_set_it_and_nothing_else_changes():
    uk = Rules.load("uk")
    mine = uk.with_values({"joint.gap": 3, "frame.jamb": "king and trimmer"})
    rule = mine.rule("joint.gap")
    assert (rule.value, rule.unit, rule.source, rule.status) == (
        3,
        "mm",
        "set by the user",
        "set by the user",
    )
    assert mine.tenths("joint.gap") == 30
    assert uk.tenths("joint.gap") == 0
    assert mine != uk
    assert all(mine.rule(k) == uk.rule(k) for k in sorted(uk.keys()) if k not in ("joint.gap", "frame.jamb"))


def test_wrong_changes_are_all_told():
    uk = Rules.load("uk")
    with pytest.raises(RuleError) as caught:
        uk.with_values(
            {"joint.gap": "3", "frame.jamb": "triple", "cutting.kerf": -1, "frame.stability_rows": 1}
        )
    text = str(caught.value)
    assert text.startswith("4 problems in the rules uk:")
    assert 'joint.gap: found "3"; accepted: a number from 0 up, with a decimal point' in text
    assert 'frame.jamb: found "triple"; accepted: one of "single", "king and trimmer"' in text
    assert "cutting.kerf: found -1; accepted: a number from 0 up" in text
    assert "frame.stability_rows: found 1; accepted: true or false" in text
    with pytest.raises(KeyError, match=r"nearest: joint"):
        uk.with_values({"joint.gaap": 3})


def test_comments_order_of_tables_and_line_endings_do_not_change_the_digest(tmp_path):
    uk = Rules.load("uk")
    text = UK.read_text(encoding="utf-8")
    head, *tables = text.split("\n[")
    first_rule = next(i for i, t in enumerate(tables) if not t.startswith("["))
    single = [i for i, t in enumerate(tables) if not t.startswith("[")]
    assert first_rule == single[0]
    turned = iter([tables[i] for i in reversed(single)])
    tables = [t if t.startswith("[") else next(turned) for t in tables]
    other = ("\ufeff# another remark\n" + "\n[".join([head, *tables])).replace("\n", "\r\n")
    path = tmp_path / "mine.toml"
    path.write_bytes(other.encode("utf-8"))
    mine = Rules.load(path)
    assert mine.keys() != uk.keys()
    assert mine.digest == uk.digest
    assert mine == uk
    assert hash(mine) == hash(uk)
    assert mine.name == "mine"


@pytest.mark.parametrize(
    "swap",
    [
        gap(0.1),
        ("title = ", 'title = "a" # '),
        (
            '"HSE INDG143, figure; L23"\nstatus = "from memory"\nnote = "from this',
            '"me"\nstatus = "seen"\nnote = "from this',
        ),
    ],
    ids=["a value", "the title", "a source"],
)
def test_content_changes_the_digest(tmp_path, swap):
    assert Rules.load(changed(tmp_path, swap)).digest != Rules.load("uk").digest


def test_whole_numbers_are_the_same_content_with_or_without_a_decimal_point(tmp_path):
    assert Rules.load(changed(tmp_path, gap("0.0"))).digest == Rules.load("uk").digest


def test_rules_survive_a_process_boundary():
    uk = Rules.load("uk")
    again = pickle.loads(pickle.dumps(uk))
    assert again == uk
    assert again.tenths("joint.edge_cut") == 130


@pytest.mark.parametrize(
    ("file", "text"),
    [
        ("empty.toml", "file: found nothing in it; accepted: a copy of data/rules/uk.toml, changed"),
        (
            "not_utf8.toml",
            "line 1: found a byte that is not UTF-8 text (0xff); accepted: a file saved as UTF-8",
        ),
        (
            "decimal_comma.toml",
            "line 4, column 10: found value = 2,5; accepted: TOML (",
        ),
        (
            "not_there.toml",
            "found no file that can be read (No such file or directory); accepted: 'uk', 'us' or the path",
        ),
    ],
)
def test_a_file_that_cannot_be_read_says_why(file, text):
    with pytest.raises(RuleError) as caught:
        Rules.load(BROKEN / file)
    assert str(caught.value).startswith("1 problem in the rules ")
    assert text in str(caught.value)


def test_every_problem_of_a_file_is_told_at_once():
    with pytest.raises(RuleError) as caught:
        Rules.load(BROKEN / "many.toml")
    lines = {str(p) for p in caught.value.problems}
    states = "; ".join(STATUSES)
    expected = {
        'edition: found nothing; accepted: text in "quotes"',
        'editon: found "2026"; accepted: a table such as [joint.gap] or [[board_span]]; nearest: edition',
        'joint.gap: found "2,5"; accepted: a number from 0 up, with a decimal point and without quotes',
        "joint.tolerance.value: found nothing; accepted: a number, text, or true or false",
        'joint.edge_cut.sorce: found "mine"; accepted: value, unit, source, status, note, accepted; nearest: source',
        'joint.edge_cut.source: found nothing; accepted: text in "quotes"',
        f'joint.edge_cut.status: found "sure"; accepted: one of: {states}',
        'joint.edge_cut.unit: found "kg"; accepted: one of mm, cm, m, in, ft',
        "joint.edge_bond: found a rule that is not known; accepted: the rules' names; nearest: joint.edge_bound",
        "joint.edge_bound: found nothing; accepted: a rule, as [joint.edge_bound] in data/rules/uk.toml",
        "cutting.kerf: found -3; accepted: a number from 0 up, with a decimal point and without quotes",
        "frame.least_bay: found 75 m; accepted: from 0 to 300 mm",
        'frame.jamb: found "triple"; accepted: one of "single", "king and trimmer"',
        "board.narrow_strip.value: found nan; accepted: a number, text, or true or false",
        f"board_span[1].status: found nothing; accepted: one of: {states}",
        'board_span[1].thickness: found "12.5"; accepted: a number from 0 up, with a decimal point and without quotes',
        'board_span[1].orientation: found nothing; accepted: a value, as in data/rules/uk.toml (here "either")',
        "board_sapn: found a table that is not known; accepted: the tables' names; nearest: board_span",
        "caution: found nothing; accepted: rows headed [[caution]], or caution = []",
    }
    assert expected - lines == set()
    tolerance = [line for line in lines if line.startswith("joint.tolerance")]
    assert len(tolerance) == 1, "one mistake is told once"


def test_every_rule_that_is_a_number_has_a_range_and_no_range_is_without_its_rule():
    sets = [Rules.load(name) for name in SHIPPED]
    numbers = {
        key
        for rules in sets
        for key in rules.keys()  # noqa: SIM118
        if not isinstance(rules.value(key), (str, bool))
    }
    for rules in sets:
        for table in rules.tables():
            for row in rules.rows(table):
                numbers |= {f"{table}.{c}" for c, v in row.items() if type(v) in (int, float)}
    assert ranges().keys() == numbers
    for least, most in ranges().values():
        assert least < most


@pytest.mark.parametrize(
    ("rule", "value", "unit", "accepted"),
    [
        ("cutting.kerf", 20000, "mm", "from 0 to 10 mm"),
        ("cutting.kerf", 10.1, "mm", "from 0 to 10 mm"),
        ("cutting.kerf", 1, "in", "from 0 to 10 mm"),
        ("cutting.kerf", 0.3, "m", "from 0 to 10 mm"),
        ("frame.heavy_leaf", 3500, "kg", "from 5 to 300 kg"),
    ],
)
def test_a_rule_outside_its_range_is_refused_in_a_file_and_when_it_is_set(
    tmp_path, rule, value, unit, accepted
):
    old = Rules.load("uk").rule(rule)
    swap = f'[{rule}]\nvalue = {old.value}\nunit = "{old.unit}"'
    path = changed(tmp_path, (swap, f'[{rule}]\nvalue = {value}\nunit = "{unit}"'))
    with pytest.raises(RuleError) as caught:
        Rules.load(path)
    assert [str(p) for p in caught.value.problems] == [f"{rule}: found {value} {unit}; accepted: {accepted}"]
    if unit == old.unit:
        with pytest.raises(RuleError, match=f"{rule}: found {value} {unit}; accepted: {accepted}"):
            Rules.load("uk").with_values({rule: value})


def test_a_column_of_a_table_has_a_range_too(tmp_path):
    text = UK.read_text(encoding="utf-8")
    at = text.index("thickness = ", text.index("[[board_span]]"))
    path = tmp_path / "mine.toml"
    path.write_text(text[:at] + "thickness = 1250 # " + text[at:], encoding="utf-8")
    with pytest.raises(RuleError) as caught:
        Rules.load(path)
    assert [str(p) for p in caught.value.problems] == [
        "board_span[1].thickness: found 1250; accepted: from 5 to 50"
    ]


def test_a_single_slip_is_one_problem(tmp_path):
    path = changed(tmp_path, gap('"2"'))
    with pytest.raises(RuleError) as caught:
        Rules.load(path)
    assert len(caught.value.problems) == 1
