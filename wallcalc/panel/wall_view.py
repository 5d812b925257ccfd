"""The widgets in which a wall is edited: measures, rooms, openings, hung items, services, joists, the way in."""

from __future__ import annotations

import html
from collections.abc import Callable
from functools import partial
from typing import Any

import ipywidgets as w

from wallcalc.given.usual import Question
from wallcalc.panel.controls import button, row_of
from wallcalc.panel.spoken import CELLS, WRONG, live
from wallcalc.panel.wall_cells import TITLES, Cell
from wallcalc.panel.wall_edit import Row

INTRO = (
    "Lengths as they stand on the tape, each with its unit: 3.84 m, 2620 mm, 8 ft 4 1/2 in; a plain number is mm. "
    "Seen from side A: from the left end, and up from the floor. Press Enter, or go on to the next box, and the wall "
    "is worked out anew. What cannot be read is marked and said beside it, and the wall stays as it was; a size that "
    "walls seldom have is asked about first."
)
ENDS = {
    "joists": "Joists that the plates are fixed to",
    "access": "The way in for the sheets: narrowest door or stair",
}
HEADS = {"opening": "Doors and hatches", "hung": "Hung items", "service": "Services: pipes, cables, boxes"}


class RowView(w.VBox):
    """The boxes of one row, and under them what is wrong with it.

    Parameters
    ----------
    row : Row
        What it shows.
    name : str
        What the row is called: a part of every box's label that is heard but not seen.
    typed : callable
        Called with the row, a key and the text typed.
    kept : callable
        Called with the row and a key whose size was asked about and is right.
    extra : sequence of widgets
        What stands at the end of the row.
    """

    def __init__(
        self,
        row: Row,
        name: str,
        typed: Callable[[Row, str, str], None],
        kept: Callable[[Row, str], None],
        extra: list[Any],
    ) -> None:
        self.row, self._typed, self._kept, self._busy = row, typed, kept, False
        self._asked: dict[str, Question] = {}
        self.questions = live(w.VBox(), alert=True)
        self.boxes = {cell.key: self._box(cell) for cell in row.cells}
        self.rename(name)
        self.said = live(w.HTML(), alert=True)
        self.end = extra[-1] if extra else None
        line = row_of([*self.boxes.values(), *extra], "0 2px")
        line.add_class(CELLS)
        super().__init__([line, self.said, self.questions])
        self.refresh()

    def rename(self, name: str) -> None:
        """Say in every box's label which row it belongs to, for those who hear the page."""
        for cell in self.row.cells:
            heard = f'<span class="wallcalc-heard">{html.escape(name)}: </span>'
            self.boxes[cell.key].description = heard + html.escape(cell.label)

    def _box(self, cell: Cell) -> Any:
        layout = w.Layout(width=f"{cell.width}px")
        if cell.kind in ("choice", "flag"):
            made = w.Dropdown(options=cell.choices, value=None, layout=layout, description_allow_html=True)
        else:
            made = w.Text(continuous_update=False, layout=layout, description_allow_html=True)
        made.observe(partial(self._changed, cell.key), "value")
        return made

    def _changed(self, key: str, change: dict[str, Any]) -> None:
        if not self._busy:
            self._typed(self.row, key, change["new"] or "")

    def refresh(self) -> None:
        """Show the row's texts and problems."""
        self._busy = True
        try:
            for cell in self.row.cells:
                box, text = self.boxes[cell.key], self.row.texts.get(cell.key, "")
                if isinstance(box, w.Dropdown):
                    box.value = text if text in cell.choices else None
                elif box.value != text:
                    box.value = text
                wrong = cell.key in self.row.wrong and not (self.row.begun and not text)
                (box.add_class if wrong else box.remove_class)(WRONG)
        finally:
            self._busy = False
        level = "caution" if self.row.unfinished else "error"
        found = "".join(f"<div>{html.escape(text)}</div>" for text in self.row.problems)
        self.said.value = f'<div class="wallcalc-message {level}">{found}</div>' if found else ""
        if self._asked != self.row.asked:
            self._asked = dict(self.row.asked)
            self.questions.children = [self._question(key, asked) for key, asked in self._asked.items()]

    def _question(self, key: str, asked: Question) -> w.HBox:
        """Return a question about a size, and its answers: keep it, or take the one that may have been meant."""
        label = next((cell.label for cell in self.row.cells if cell.key == key), key)
        text = html.escape(f"{label}: {asked}")
        answers = [button(f"Keep {asked.value}", lambda: self._kept(self.row, key))]
        if asked.likely and key in self.boxes and not set(",;") & set(self.row.texts.get(key, "")):
            answers.insert(
                0, button(f"Take {asked.likely}", lambda: self._typed(self.row, key, asked.likely))
            )
        return row_of([w.HTML(f'<div class="wallcalc-message caution">{text}</div>'), *answers])


class WallEditor(w.VBox):
    """All rows of a wall.

    Parameters
    ----------
    state : StudyState
        Its ``edit`` is shown.
    act : callable
        As for :class:`wallcalc.panel.controls.Controls`.
    """

    def __init__(self, state: Any, act: Callable[[Callable[[], Any]], None]) -> None:
        self.state, self._act = state, act
        self._views: dict[int, RowView] = {}
        self._notes: dict[str, w.HTML] = {}
        self._top, self._rooms = w.VBox(), w.VBox()
        self.lists = {name: w.VBox() for name in TITLES}
        adders = {
            name: button(f"Add {'an' if title[0] in 'aeiou' else 'a'} {title}", partial(self._add, name))
            for name, title in TITLES.items()
        }
        self.adders = adders
        parts: list[Any] = [w.HTML(f'<div class="wallcalc-note">{INTRO}</div>'), self._top, self._rooms]
        for name, head in HEADS.items():
            parts += [w.HTML(f"<h3>{head}</h3>"), self.lists[name], row_of([adders[name]])]
        self.ends = {name: w.VBox() for name in ENDS}
        for name, head in ENDS.items():
            parts += [w.HTML(f"<h3>{head}</h3>"), self.ends[name]]
        parts.append(row_of([button("Put back what does not read", self._put_back)]))
        super().__init__(parts)

    def refresh(self) -> None:
        """Show the rows; the boxes of rows that were there before stay the same, so nobody loses their place."""
        edit = self.state.edit
        used: dict[int, RowView] = {}

        def view(row: Row, name: str, extra: Callable[[], list[Any]] = list) -> RowView:
            found = self._views.get(row.number)
            if found is None:
                found = RowView(row, name, self._typed, self._kept, extra())
            else:
                found.refresh()
                found.rename(name)
            used[row.number] = found
            return found

        self._set(self._top, [view(edit.top, "wall")])

        def named(rows: dict[str, Row], what: str) -> list[Any]:
            return [
                child
                for key, row in rows.items()
                for child in (self._note(f"{what} {key}"), view(row, f"{what[0].lower()}{what[1:]} {key}"))
            ]

        self._set(self._rooms, named(edit.rooms, "Room on side"))
        self._set(self.ends["joists"], named(edit.joists, "Joists"))
        self._set(self.ends["access"], [view(edit.access, "way in")])
        for table, rows in edit.tables.items():
            title = TITLES[table]
            views = []
            for n, row in enumerate(rows, 1):
                views.append(view(row, f"{title} {n}", partial(self._remover, table, row.number)))
                views[-1].end.tooltip = f"remove {title} {n}"
            self._set(self.lists[table], views)
        self._views = used

    def _note(self, text: str) -> w.HTML:
        return self._notes.setdefault(text, w.HTML(f'<div class="wallcalc-note">{text}</div>'))

    @staticmethod
    def _set(box: w.VBox, children: list[Any]) -> None:
        if list(box.children) != children:
            box.children = children

    def _remover(self, table: str, number: int) -> list[Any]:
        made = button("Remove", partial(self._remove, table, number), width="80px")
        made.add_class("wallcalc-row-end")
        return [made]

    def _typed(self, row: Row, key: str, text: str) -> None:
        self._take(lambda: self.state.edit.type(row, key, text))

    def _kept(self, row: Row, key: str) -> None:
        self._take(lambda: self.state.edit.keep(row, key))

    def _remove(self, table: str, number: int) -> None:
        self._take(lambda: self.state.edit.remove(table, number))

    def _take(self, read: Callable[[], Any]) -> None:
        def action() -> None:
            wall = read()
            if wall is not None:
                self.state.change_wall(wall)

        self._act(action)

    def _add(self, table: str) -> None:
        self._act(lambda: self.state.edit.add(table))

    def _put_back(self) -> None:
        self._act(self.state.edit.put_back)
