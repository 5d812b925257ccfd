"""A wall while it is edited cell by cell: nothing typed is lost, and the wall changes only when all of it reads."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from itertools import count
from typing import Any

from wallcalc.errors import Problem
from wallcalc.given.reader import read_tables
from wallcalc.given.usual import Question, questions
from wallcalc.given.wall import Wall
from wallcalc.given.wall_file import tables_of
from wallcalc.panel.wall_cells import ACCEPTED, ACCESS, JOISTS, ROOM, TABLES, TITLES, WALL, Cell
from wallcalc.units.quantities import shown

NOTHING = shown(None)
"""What a problem says was found where nothing stands."""

NEEDED = "Still needed before it counts: "

_PLACE = re.compile(r"(opening|hung|service)\[(\d+)\](?:\.(\w+))?.*")
_PART_PLACE = re.compile(r"(room\.[AB]|joists\.above|joists\.below|access)(?:\.(\w+))?.*")
_numbers = count(1)


@dataclass
class Row:
    """One row of a table while it is edited.

    Attributes
    ----------
    cells : tuple of Cell
        Its cells.
    texts : dict of str to str
        What stands in each, as typed.
    rest : dict
        Keys of the file that have no cell; they are kept.
    begun : bool
        Whether it is a new row that has not been complete yet.
    problems : list of str
        What is wrong, in words, by the labels of the cells.
    wrong : set of str
        Keys of the cells that have a problem.
    asked : dict of str to Question
        What is asked about sizes typed into it, by the keys of the cells.
    number : int
        A number that no other row has.
    """

    cells: tuple[Cell, ...]
    texts: dict[str, str]
    rest: dict[str, Any] = field(default_factory=dict)
    begun: bool = False
    problems: list[str] = field(default_factory=list)
    wrong: set[str] = field(default_factory=set)
    asked: dict[str, Question] = field(default_factory=dict)
    number: int = field(default_factory=lambda: next(_numbers))

    @classmethod
    def of(cls, cells: tuple[Cell, ...], data: dict[str, Any]) -> Row:
        """Return the row of a table of the file."""
        keys = {cell.key for cell in cells}
        rest = {key: value for key, value in data.items() if key not in keys and not isinstance(value, dict)}
        return cls(cells, {c.key: c.text(data.get(c.key)) or c.default for c in cells}, rest)

    def data(self) -> dict[str, Any]:
        """Return the row as a table of the file."""
        values = {cell.key: cell.value(self.texts.get(cell.key, "")) for cell in self.cells}
        return self.rest | {key: value for key, value in values.items() if value is not None}

    @property
    def unfinished(self) -> bool:
        """Whether it is a new row in which something is still missing."""
        return self.begun and bool(self.problems)

    def say(self, key: str, problem: Problem) -> None:
        """Note a problem at one of the cells."""
        cell = next((c for c in self.cells if c.key == key), None)
        label = cell.label if cell else key or "row"
        found, accepted = problem.found, problem.accepted
        if cell is not None and cell.kind in ACCEPTED:
            found = shown(self.texts[key])
            accepted = ACCEPTED[cell.kind] if '["' in accepted else accepted
            if re.search(r"\d,\d", self.texts[key]):
                accepted += "; decimals after a point, for the comma stands between the two"
        accepted = re.sub(r"(opening|hung|service)\[(\d+)\]", lambda m: f"{TITLES[m[1]]} {m[2]}", accepted)
        missing = found == NOTHING or (cell is not None and not self.texts.get(key, "").strip())
        if self.begun and missing:
            needed = [t for t in self.problems if t.startswith(NEEDED)]
            self.problems = [t for t in self.problems if t not in needed]
            text = f"{needed[0]}; {label}" if needed else f"{NEEDED}{label}"
        else:
            text = f"{label}: {'nothing stands here' if missing else f'found {found}'}; accepted: {accepted}"
        if text not in self.problems:
            self.problems.append(text)
        self.wrong.add(key)


class WallEdit:
    """The cells of a wall, and what was typed into them.

    Parameters
    ----------
    wall : Wall
        The wall to edit.

    Attributes
    ----------
    wall : Wall
        The wall as last read from the cells or given.
    top : Row
        The wall itself.
    rooms : dict of str to Row
        Side to room.
    joists : dict of str to Row
        "above" and "below" to joists.
    access : Row
        The way in for the sheets.
    tables : dict of str to list of Row
        Openings, hung items and services.
    """

    def __init__(self, wall: Wall) -> None:
        self._confirmed: set[Question] = set()
        self._show(wall)

    def _show(self, wall: Wall) -> None:
        self.wall = wall
        self._base = tables_of(wall)
        rooms = self._base.get("room", {})
        self.top = Row.of(WALL, self._base)
        self.top.rest = {}
        self.rooms = {side: Row.of(ROOM, rooms.get(side, {})) for side in "AB"}
        joists = self._base.get("joists", {})
        self.joists = {place: Row.of(JOISTS, joists.get(place, {})) for place in ("above", "below")}
        self.access = Row.of(ACCESS, self._base.get("access", {}))
        self.tables = {
            name: [Row.of(cells, d) for d in self._base.get(name, [])] for name, cells in TABLES.items()
        }
        self._ask(wall, self.tables)

    def follow(self, wall: Wall) -> bool:
        """Show another wall; what is typed stays when it is the one in the cells. Return whether cells changed."""
        if wall == self.wall:
            return False
        self._show(wall)
        return True

    def put_back(self) -> None:
        """Forget what was typed and not taken."""
        self._show(self.wall)

    def rows(self) -> list[Row]:
        """Return every row."""
        listed = (row for rows in self.tables.values() for row in rows)
        return [self.top, *self.rooms.values(), *listed, *self.joists.values(), self.access]

    @property
    def sound(self) -> bool:
        """Whether nothing in the cells is wrong, missing or asked about."""
        return not any(row.problems or row.asked for row in self.rows())

    def _ask(self, wall: Wall, counted: dict[str, list[Row]]) -> set[Question]:
        """Ask beside its cell about every size that walls seldom have and nobody confirmed; return the questions."""
        asked = set(questions(wall)) - self._confirmed
        for row in self.rows():
            row.asked = {}
        for question in asked:
            row, key = self._row_of(question.field, counted)
            row.asked[key] = question
        return asked

    def add(self, table: str) -> Row:
        """Add an empty row to a table; it counts only when it is complete."""
        cells = TABLES[table]
        row = Row(cells, {cell.key: cell.default for cell in cells}, begun=True)
        self.tables[table].append(row)
        self.read()
        return row

    def remove(self, table: str, number: int) -> Wall | None:
        """Remove a row; return the wall that makes, None when it does not read."""
        self.tables[table] = [row for row in self.tables[table] if row.number != number]
        return self.read()

    def type(self, row: Row, key: str, text: str) -> Wall | None:
        """Put a text into a cell; return the wall that makes, None when something in the cells does not read."""
        row.texts[key] = text
        return self.read()

    def keep(self, row: Row, key: str) -> Wall | None:
        """Keep a size that was asked about; return the wall that makes, None when there is more to be said."""
        self._confirmed.add(row.asked[key])
        return self.read()

    def read(self) -> Wall | None:
        """Read all cells; return the wall they make, None when something is wrong or asked (said at the rows)."""
        for row in self.rows():
            row.problems, row.wrong = [], set()
        held: set[int] = set()
        while True:
            wall, problems, counted = self._read_once(held)
            if not problems:
                break
            for row, key, problem in self._placed(problems, counted):
                row.say(key, problem)
            new = {row.number for row in self.rows() if row.unfinished} - held
            if not new:
                break
            held |= new
        asked = self._ask(wall, counted)
        if problems or any(row.problems and not row.begun for row in self.rows()):
            return None
        if asked - set(questions(self.wall)):
            return None  # a size typed just now; those that came with the wall are asked about and hold nothing up
        for rows in self.tables.values():
            for row in rows:
                row.begun = row.begun and bool(row.problems)
        self.wall = wall
        return wall

    def _read_once(self, held: set[int]) -> tuple[Wall, list[Problem], dict[str, list[Row]]]:
        """Read the cells but for the rows held back; the rows counted, so that problems find theirs."""
        counted = {
            name: [row for row in rows if row.number not in held] for name, rows in self.tables.items()
        }
        data = self._base | self.top.data()
        data = {k: v for k, v in data.items() if k not in {c.key for c in WALL} or k in self.top.data()}
        data["room"] = {side: row.data() for side, row in self.rooms.items()}
        data["joists"] = {place: row.data() for place, row in self.joists.items()}
        data["access"] = self.access.data()
        for name, rows in counted.items():
            data[name] = [row.data() for row in rows]
        return *read_tables(Wall, data), counted

    def _placed(
        self, problems: list[Problem], counted: dict[str, list[Row]]
    ) -> list[tuple[Row, str, Problem]]:
        return [(*self._row_of(problem.field, counted), problem) for problem in problems]

    def _row_of(self, place: str, counted: dict[str, list[Row]]) -> tuple[Row, str]:
        """Return the row and the key that a place in the file stands for."""
        if match := _PLACE.fullmatch(place):
            return counted[match[1]][int(match[2]) - 1], match[3] or ""
        if match := _PART_PLACE.fullmatch(place):
            parts = {f"room.{side}": row for side, row in self.rooms.items()}
            parts |= {f"joists.{end}": row for end, row in self.joists.items()} | {"access": self.access}
            return parts[match[1]], match[2] or ""
        return self.top, place.split("[")[0]
