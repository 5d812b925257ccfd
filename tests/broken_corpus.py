"""Broken wall files, rule files and price books, each made from a good one by one slip, with what must be told.

A case is the content of a file, the place that must be named, what must be said to have been found there, and how
what would be accepted begins. The words are written here and not taken from the readers.
"""

from __future__ import annotations

import copy
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import tomlkit

DATA = Path(__file__).parents[1] / "data"


@dataclass(frozen=True)
class Case:
    """One broken file, and the one problem that it has."""

    name: str
    content: bytes
    field: str
    found: str
    accepted: str


# --- walls

WALL: dict[str, Any] = {
    "name": "a wall",
    "length": "4 m",
    "height": "2.5 m",
    "finish": "taped",
    "ceiling": "boarded",
    "floor": "timber",
    "left_end": "masonry",
    "right_end": "masonry",
    "floor_build_up": "20 mm",
    "skirting": "95 mm",
    "room": {"A": {"name": "bath", "use": "bathroom", "wet": True, "tiled_to": "1 m", "tile_mass": 18}},
    "opening": [
        {"kind": "door", "left": "100 mm", "leaf": "762 mm", "leaf_mass": 24, "rating": 27},
        {"kind": "hatch", "left": "2 m", "width": "500 mm", "height": "500 mm", "sill": "1 m"},
    ],
    "hung": [
        {
            "name": "shelf",
            "side": "B",
            "fixings": [["3 m", "1 m"], ["3.4 m", "1 m"]],
            "mass": 10,
            "extra": 5,
            "projection": "300 mm",
            "backing": "any",
            "pad": "20 mm",
        }
    ],
    "service": [
        {
            "name": "pipe",
            "side": "A",
            "kind": "pipe",
            "at": ["3.2 m", "500 mm"],
            "diameter": "15 mm",
            "clearance": "10 mm",
            "goes": "up",
        }
    ],
    "joists": {"above": {"direction": "across", "first": "100 mm", "centres": "450 mm"}},
    "access": {"width": "700 mm", "height": "1.9 m", "landing": "900 mm"},
}
"""A good wall that uses nearly every key."""

LENGTHS = {
    "length": "300 mm to 30 m",
    "height": "300 mm to 12 m",
    "floor_build_up": "0 mm to 500 mm",
    "skirting": "0 mm to 1 m",
    "room.A.tiled_to": "0 mm to 12 m",
    "opening[1].left": "0 mm to 30 m",
    "opening[1].leaf": "300 mm to 3 m",
    "opening[2].width": "100 mm to 6 m",
    "opening[2].height": "100 mm to 6 m",
    "opening[2].sill": "0 mm to 12 m",
    "hung[1].projection": "0 mm to 3 m",
    "hung[1].pad": "0 mm to 1 m",
    "service[1].diameter": "1 mm to 500 mm",
    "service[1].clearance": "0 mm to 500 mm",
    "joists.above.first": "0 mm to 30 m",
    "joists.above.centres": "100 mm to 3 m",
    "access.width": "300 mm to 12 m",
    "access.height": "300 mm to 12 m",
    "access.landing": "300 mm to 12 m",
}
CHOICES = {
    "finish": ("taped", "skim"),
    "ceiling": ("boarded", "bare joists", "unknown"),
    "floor": ("timber", "solid", "heated screed", "unknown"),
    "left_end": ("masonry", "lined stud", "unknown"),
    "right_end": ("masonry", "lined stud", "unknown"),
    "opening[1].kind": ("door", "hatch"),
    "hung[1].side": ("A", "B"),
    "hung[1].backing": ("any", "stud", "noggin", "pattress"),
    "service[1].side": ("A", "B"),
    "service[1].kind": ("pipe", "waste", "cable", "socket", "other"),
    "service[1].goes": ("through", "down", "up", "not told"),
    "joists.above.direction": ("across", "along", "unknown", "solid"),
}
MASSES = {
    "room.A.tile_mass": ("a mass for each square metre", "a mass over 0 and up to 200 kg/m2"),
    "opening[1].leaf_mass": ("a mass with its unit", "a mass over 0 and up to 500 kg"),
    "hung[1].mass": ("a mass with its unit", "a mass over 0 and up to 1000 kg"),
    "hung[1].extra": ("a mass with its unit", "a mass over 0 and up to 1000 kg"),
}
REQUIRED = {
    "name": "a text on one line",
    "length": "a length with its unit",
    "height": 'a height such as "2.62 m"',
    "opening[1].left": "a length with its unit",
    "opening[1].leaf": 'the leaf\'s width, such as leaf = "762 mm"',
    "opening[2].width": "the width as built",
    "opening[2].height": "the height as built",
    "opening[2].sill": "the sill as built",
    "hung[1].name": "a text on one line",
    "hung[1].side": 'one of "A", "B"',
    "hung[1].mass": "a mass with its unit",
    "hung[1].fixings": "a list of fixing points",
    "service[1].name": "a text on one line",
    "service[1].side": 'one of "A", "B"',
    "service[1].at": "a point in brackets",
    "service[1].diameter": "a length with its unit",
}
TABLES = ("", "room.A.", "opening[1].", "hung[1].", "service[1].", "joists.above.", "access.")


def _place(tables: dict, field: str) -> tuple[dict, str]:
    """Return the table that a field stands in, and its key."""
    *above, key = field.replace("[", ".").replace("]", "").split(".")
    for part in above:
        tables = tables[int(part) - 1] if part.isdigit() else tables[part]
    return tables, key


def _wall(field: str, value: Any) -> bytes:
    """Return the good wall with one value changed, or left out when it is None."""
    tables = copy.deepcopy(WALL)
    table, key = _place(tables, field)
    if value is None:
        del table[key]
    else:
        table[key] = value
    return tomlkit.dumps(tables).encode()


def walls() -> list[Case]:
    """Return broken walls."""
    cases = []

    def slip(what: str, field: str, value: Any, found: str, accepted: str) -> None:
        cases.append(Case(f"{field} {what}", _wall(field, value), field, found, accepted))

    for field, bounds in LENGTHS.items():
        wanted = 'a height such as "2.62 m"' if field == "height" else "a length with its unit"
        slip("without sense", field, "wide", '"wide"', "a length with its unit")
        slip(
            "with a decimal comma",
            field,
            "1,5 m",
            '"1,5 m"',
            'a point in place of the decimal comma, "1.5 m"',
        )
        slip("of another unit", field, "5 kg", '"5 kg"', "a length with its unit")
        slip("switched", field, True, "true", "a length with its unit")
        slip("too long", field, "90 m", '"90 m"', f"a length from {bounds}")
        slip("below nothing", field, "-1 m", '"-1 m"', "a length that is not negative")
        if field != "height":  # which may be a list
            slip("in brackets", field, ["1 m"], '["1 m"]', wanted)
    for field, words in CHOICES.items():
        accepted = "one of " + ", ".join(f'"{word}"' for word in words)
        slip("misspelt", field, "xyz", '"xyz"', accepted)
        slip("numbered", field, 1, "1", accepted)
    for field, (wanted, bounds) in MASSES.items():
        slip("without sense", field, "heavy", '"heavy"', wanted)
        slip("of another unit", field, "5 m", '"5 m"', wanted)
        slip("too heavy", field, 5000, "5000", bounds)
        slip("below nothing", field, -1, "-1", "a mass that is not negative")
        slip("endless", field, float("inf"), "inf", wanted)
    for field, accepted in REQUIRED.items():
        slip("left out", field, None, "nothing", accepted)
    for table in TABLES:
        field = f"{table}zzz"
        slip("not known", field, 1, "an unknown key with the value 1", "one of the keys ")
    for name in ("opening", "hung", "service"):
        slip("is no list of tables", name, {"a": 1}, "a table", f"tables, each under [[{name}]]")
    for name in ("room", "joists", "access"):
        slip("is no table", name, 5, "5", f"a table, [{name}]")
    slip("wet or not", "room.A.wet", "yes", '"yes"', "true or false, without quotes")
    slip("too loud", "opening[1].rating", 99, "99", "the Rw of the door set in dB, from 0 to 80")
    slip("is three numbers", "service[1].at", [1, 2, 3], "[1, 2, 3]", "a pair of lengths in brackets")
    slip(
        "beyond the end", "opening[2].left", "3.6 m", '"3.6 m"', "no more than 3.5 m, so that its 500 mm end"
    )
    slip("over the first", "opening[2].left", "500 mm", '"500 mm"', "a place clear of opening[1]")
    slip(
        "over the ceiling",
        "opening[2].sill",
        "2.1 m",
        '"500 mm"',
        "a top no higher than the wall there, 2.5 m",
    )
    cases[-1] = Case(
        *(getattr(cases[-1], k) for k in ("name", "content")), "opening[2].height", *_told(cases[-1])
    )
    return cases


def _told(case: Case) -> tuple[str, str]:
    return case.found, case.accepted


# --- rules

NUMBER = "a number from 0 up, with a decimal point and without quotes"
RULES = {
    # rule: its line and unit in the file, a value that is too much, what is accepted then
    "cutting.kerf": ("value = 3", "mm", "20000", "from 0 to 10 mm"),
    "frame.least_bay": ("value = 75", "mm", "7500", "from 0 to 300 mm"),
    "frame.max_centres": ("value = 600", "mm", "6000", "from 200 to 1300 mm"),
    "joint.edge_cut": ("value = 13", "mm", "130", "from 0 to 50 mm"),
    "screw.spacing": ("value = 300", "mm", "3", "from 50 to 1000 mm"),
    "frame.heavy_leaf": ("value = 35", "kg", "3500", "from 5 to 300 kg"),
    "loads.gravity": ("value = 9.81", "m/s2", "98.1", "from 9.7 to 9.9 m/s2"),
    "door.leaf_height": ("value = 1981", "mm", "198.1", "from 1200 to 3500 mm"),
}


def _rules(rule: str, old: str, new: str) -> bytes:
    """Return the uk rules with one line of one rule changed."""
    text = (DATA / "rules" / "uk.toml").read_text(encoding="utf-8")
    start = text.index(f"\n[{rule}]\n")
    at = text.index(f"\n{old}", start)
    assert "[" not in text[start + 2 : at].split("]", 1)[1], (rule, old)
    end = text.index("\n", at + 1)
    return f"{text[:at]}\n{new}{text[end:]}".encode()


def rules() -> list[Case]:
    """Return broken rule files."""
    cases = []

    def slip(what: str, rule: str, lines: tuple[str, str], field: str, found: str, accepted: str) -> None:
        cases.append(Case(f"{rule} {what}", _rules(rule, *lines), field, found, accepted))

    for rule, (line, unit, much, bounds) in RULES.items():
        slip("too much or too little", rule, (line, f"value = {much}"), rule, f"{much} {unit}", bounds)
        slip("in quotes", rule, (line, 'value = "3"'), rule, '"3"', NUMBER)
        slip("below nothing", rule, (line, "value = -3"), rule, "-3", NUMBER)
        slip("switched", rule, (line, "value = true"), rule, "true", NUMBER)
        slip(
            "endless", rule, (line, "value = inf"), f"{rule}.value", "inf", "a number, text, or true or false"
        )
        slip(
            "a list", rule, (line, "value = [1]"), f"{rule}.value", "[1]", "a number, text, or true or false"
        )
        other = "one of mm, cm, m, in, ft" if unit == "mm" else f'"{unit}"'
        slip("of another unit", rule, ("unit", 'unit = "s"'), f"{rule}.unit", '"s"', other)
        slip(
            "unsure",
            rule,
            ("status", 'status = "sure"'),
            f"{rule}.status",
            '"sure"',
            "one of: seen; from memory",
        )
        slip("sourceless", rule, ("source", 'source = ""'), f"{rule}.source", "nothing", 'text in "quotes"')
        keys = "value, unit, source, status, note, accepted"
        slip("with more", rule, ("status", 'status = "seen"\nzzz = 1'), f"{rule}.zzz", "1", keys)
    return cases


# --- prices

TIMBER, SHEET, SLAB, TAPE = "38x89-2.4m", "standard-12.5-1200x2400", "wool-50-400", "joint-tape-90m"
PRICE = "a price such as 12.34 (decimal point, at most two decimals)"
SLIPS = [
    *((row, "price", text, f'"{text}"', PRICE) for row in (TIMBER, TAPE) for text in ("x", "-1", "1.234", "£3")),
    *((row, "price", "", "nothing", PRICE) for row in (TIMBER, TAPE)),
    *((TIMBER, name, text, f'"{text}"', "a number above 0 with a decimal point, mm")
      for name in ("thickness", "width", "length") for text in ("x", "0", "-5", "1e3")),
    *((TIMBER, name, "90000", '"90000"', "a length in mm, at most 20000") for name in ("length",)),
    (TIMBER, "section", "38x90", '"38x90"', "thickness by width of this row, 38x89"),
    (TIMBER, "pack", "1.5", '"1.5"', "a whole number"),
    (TIMBER, "pack", "0", '"0"', "a number above 0 with a decimal point"),
    (TIMBER, "group", "timbre", '"timbre"', "one of timber, sheet, slab"),
    (TIMBER, "sizes", "imperial", '"imperial"', "one of metric, inch, both"),
    (TIMBER, "currency", "pounds", '"pounds"', "a currency code of three capitals"),
    (TIMBER, "currency", "EUR", '"EUR"', "one currency in the whole file (GBP in line "),
    (TIMBER, "source", "", "nothing", "a text"),
    (TIMBER, "unit", "", "nothing", "a text"),
    (TIMBER, "code", "38x89-3.0m", '"38x89-3.0m", which line ', "a code of its own for each row"),
]  # fmt: skip


def _prices(code: str, column: str, text: str) -> tuple[bytes, int]:
    """Return the demo prices with one cell changed, and the line it stands in."""
    lines = (DATA / "prices.csv").read_text(encoding="utf-8").splitlines()
    number = next(i for i, line in enumerate(lines) if line.startswith(f"{code},"))
    cells, at = lines[number].split('"'), lines[0].split(",").index(column)
    before, after = cells[0].split(","), cells[2].split(",")  # a description in quotes has commas of its own
    row = [*before[:-1], f'"{cells[1]}"', *after[1:]]
    assert len(row) == len(lines[0].split(","))
    row[at] = text
    return "\n".join([*lines[:number], ",".join(row), *lines[number + 1 :]]).encode(), number + 1


def prices() -> list[Case]:
    """Return broken price books."""
    cases = []
    for code, column, text, found, accepted in SLIPS:
        content, line = _prices(code, column, text)
        if column == "code":
            line += 1  # told at the second of the twins
        cases.append(Case(f"{code} {column} {text}", content, f"line {line}, {column}", found, accepted))
    return cases


# --- what no reader should try

GOOD = {
    "wall": tomlkit.dumps(WALL).encode(),
    "rules": (DATA / "rules" / "uk.toml").read_bytes(),
    "prices": (DATA / "prices.csv").read_bytes(),
}


def floods(kind: str) -> list[Case]:
    """Return files that are too much for a reader: too large, too deep, too long, or no text."""
    good = GOOD[kind]
    last = good.count(b"\n") + 1
    most = 2_000_000 if kind == "prices" else 1_000_000
    cases = [
        Case("too large", good + b"#" * most, "file", f"more than {most:,} bytes", "a "),
        Case("50 MB", good + b"\n" * 50_000_000, "file", f"more than {most:,} bytes", "a "),
        Case(
            "latin",
            good + b"caf\xe9",
            f"line {last}",
            "a byte that is not UTF-8 text (0xe9)",
            "a file saved as ",
        ),
        Case(
            "utf-16",
            good.decode().encode("utf-16"),
            "line 1",
            "a byte that is not UTF-8 text (0xff)",
            "a file ",
        ),
        Case("nul", good + b"\0", f"line {last}", "the character NUL", "a file saved as "),
        Case(
            "picture",
            b"\x89PNG\r\n\x1a\n" + b"\0" * 99,
            "line 1",
            "a byte that is not UTF-8 text (0x89)",
            "a file ",
        ),
    ]
    if kind == "prices":
        header = good[: good.index(b"\n") + 1]
        cases += [
            Case("many rows", header + b"a,,\n" * 5001, "file", "5,001 rows", "no more than 5,000 rows"),
            Case(
                "many columns",
                b",".join([b"code"] * 9999),
                "line 1",
                "no header line but code, code",
                "this header",
            ),
            Case(
                "endless cell",
                header + b'"' + b"a" * 999_999,
                "line 2",
                "field larger than field limit",
                "CSV",
            ),
        ]
        return cases
    like = "TOML"
    deep, where = "brackets within brackets, too deep to read", f"line {last}"
    cases += [
        Case("deep lists", good + b"x = " + b"[" * 20_000, where, deep, like),
        Case("deep tables", good + b"x = " + b"{a=" * 20_000, where, deep, like),
        Case("long number", good + b"x = " + b"9" * 5000, where, "a number of 5,000 characters", like),
        Case("long key", good + b"x" * 5000 + b" = 1", where, "a word without quotes of 5,000 characters", like),
        Case("long text", good + b'x = "' + b"x" * 50_000 + b'"', where, "a text of 50,002 characters", like),
        Case("many parts", good + b"a." * 20_000 + b"a = 1", where, "a key of more than 12 parts", like),
        Case("many values", good + b"x = [" + b"1," * 30_000 + b"]", "file", "more than 20,000 values", like),
        Case("open quotes", good + b'x = "abc', where, 'x = "abc', like),
        Case("nothing after =", good + b"x =", where, "x =", like),
        Case("no table", good + b"[x", where, "[x", like),
        Case("twice", good + b"[zz]\n[zz]\n", f"line {last + 1}", "[zz]", like),
    ]  # fmt: skip
    return cases
