"""The widgets that load and save: a wall, prices, and where the user's own walls are."""

from __future__ import annotations

import html
from collections.abc import Callable
from typing import Any

import ipywidgets as w

from wallcalc.draw.turns import in_turn
from wallcalc.errors import WallcalcError
from wallcalc.panel import page
from wallcalc.panel.controls import WIDE, button, row_of
from wallcalc.panel.messages import Message
from wallcalc.panel.spoken import live
from wallcalc.panel.wall_transfer import download_link

BESIDE = "{} was not taken; what is wrong with it stands beside the file chooser."


class FilesView(w.VBox):
    """Load and save.

    Parameters
    ----------
    state : StudyState
        Its walls and prices are loaded and saved.
    act : callable
        As for :class:`wallcalc.panel.controls.Controls`.
    """

    def __init__(self, state: Any, act: Callable[[Callable[[], Any]], None]) -> None:
        self.state, self._act = state, act
        self.wall_said, self.price_said, self.save_said = (live(w.HTML(), alert=True) for _ in range(3))
        self.link = w.HTML()
        self.wall_file = self._chooser("Open a wall file", ".toml", state.load_wall, self.wall_said)
        self.price_file = self._chooser("Open a price file", ".csv", state.load_prices, self.price_said)
        self.name = w.Text(
            description="name to save as", continuous_update=False, style=WIDE, layout=w.Layout(width="300px")
        )
        self.name.observe(lambda _: self._show_link(), "value")
        self.replace = w.Checkbox(description="replace a file of that name", value=False, indent=False)
        self.replace.layout.width = "220px"
        self.folder = w.Text(
            description="my walls are in",
            value=str(state.own_walls),
            continuous_update=False,
            style=WIDE,
            layout=w.Layout(width="300px"),
        )
        self.folder.observe(lambda change: act(lambda: state.choose_folder(change["new"])), "value")
        self._named = ""
        super().__init__(
            [
                row_of([self.wall_file, self.price_file, self.folder]),
                self.wall_said,
                self.price_said,
                row_of([self.name, button("Save into my walls", self._save), self.replace, self.link]),
                self.save_said,
            ]
        )

    def refresh(self) -> None:
        """Propose the wall's own name, and offer the wall as it is now for download."""
        if self.state.wall.name != self._named:
            self._named = self.state.wall.name
            self.name.value = self._named
        self._show_link()

    @in_turn
    def _show_link(self) -> None:
        try:
            name, uri = download_link(self.state.wall, self.name.value)
        except WallcalcError as error:
            self.link.value = page.messages([Message("caution", str(error))])
            return
        shown = html.escape(name, quote=True)
        self.link.value = f'<a class="wallcalc-save" href="{uri}" download="{shown}">Download {shown}</a>'

    def _save(self) -> None:
        def action() -> None:
            self.state.save_wall(self.name.value, self.replace.value)
            self.save_said.value = page.messages(self.state.messages)

        self._act(action)

    def _chooser(
        self, label: str, kind: str, load: Callable[[str, bytes], bool], said: w.HTML
    ) -> w.FileUpload:
        made = w.FileUpload(accept=kind, multiple=False, description=label, layout=w.Layout(width="190px"))

        def chosen(change: dict[str, Any]) -> None:
            if not change["new"]:
                return
            (file,) = change["new"]

            def action() -> None:
                before = self.state.now
                load(file["name"], bytes(file["content"]))
                taken = self.state.now is not before  # whether the option can be built under it or not
                if taken or all(m.level != "error" for m in self.state.messages):
                    said.value = ""
                else:
                    said.value = page.messages(self.state.messages)
                    self.state.messages = [Message("error", BESIDE.format(file["name"]))]

            self._act(action)
            made.value = ()  # so that the same file can be chosen again

        made.observe(chosen, "value")
        return made
