"""The panel's controls: every one labelled with its unit and reachable by keyboard."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import ipywidgets as w

from wallcalc.option_grid import COURSES_FROM, SECTIONS, SET_OUT_FROM
from wallcalc.panel.words import CHOICES, ORIENTATIONS

WIDE = {"description_width": "initial"}
FULL = "98%"


def dropdown(label: str, options: Any, value: Any) -> w.Dropdown:
    """Return a labelled dropdown that takes the width of its column."""
    return w.Dropdown(
        description=label, options=options, value=value, style=WIDE, layout=w.Layout(width=FULL)
    )


def button(label: str, act: Callable[[], Any], *, strong: bool = False, width: str = "auto") -> w.Button:
    """Return a button that calls ``act``."""
    made = w.Button(description=label, layout=w.Layout(width=width))
    if strong:
        made.add_class("wallcalc-act")
    made.on_click(lambda _: act())
    return made


class Controls:
    """The widgets that set the option, kept in step with the state.

    Parameters
    ----------
    state : StudyState
        What they show.
    act : callable
        Called with an action (a function without arguments) whenever a control is moved.
    """

    def __init__(self, state: Any, act: Callable[[Callable[[], Any]], None]) -> None:
        self.state, self._act = state, act
        self._busy = False
        offers, option = state.offers, state.option
        low, high = offers.centres
        self.wall = dropdown("wall", state.wall_choices(), state.wall_path)
        self.folder = w.Text(
            description="my walls are in",
            value=str(state.own_walls),
            continuous_update=False,
            style=WIDE,
            layout=w.Layout(width=FULL),
        )
        self.rules = dropdown(
            "trade rules", [("UK, metric sheets", "uk"), ("US, inch sheets", "us")], state.rules.name
        )
        self.slider = w.FloatSlider(
            description="stud centres, mm",
            min=low,
            max=high,
            step=1.0,
            value=option.stud_centres,
            readout=False,
            style=WIDE,
            layout=w.Layout(width=FULL),
        )
        self.number = w.BoundedFloatText(
            description="exact centres, mm",
            min=low,
            max=high,
            step=1.0,
            value=option.stud_centres,
            style=WIDE,
            layout=w.Layout(width=FULL),
        )
        self.usual = w.HBox(layout=w.Layout(flex_flow="row wrap"))
        self.choices: dict[str, w.Dropdown] = {
            "board_orientation": dropdown(
                "boards", [(v, k) for k, v in ORIENTATIONS.items()], option.board_orientation
            ),
            "fill": dropdown(CHOICES["fill"], [("none", "")], ""),
            "set_out_from": dropdown(CHOICES["set_out_from"], SET_OUT_FROM, option.set_out_from),
            "section": dropdown(CHOICES["section"], SECTIONS, option.section),
            "sheet": dropdown(CHOICES["sheet"], [("cheapest mix", "")], ""),
            "layers_a": dropdown(CHOICES["layers_a"], [1, 2], option.layers_a),
            "layers_b": dropdown(CHOICES["layers_b"], [1, 2], option.layers_b),
            "board_a": dropdown(CHOICES["board_a"], [("by the room", "")], ""),
            "board_b": dropdown(CHOICES["board_b"], [("by the room", "")], ""),
            "course_from": dropdown(CHOICES["course_from"], COURSES_FROM, option.course_from),
        }
        self.layer = dropdown("layer shown", [("1, against the frame", 1), ("2, outer", 2)], 1)
        self.follow()
        self._listen()

    def column(self) -> list[w.Widget]:
        """Return the widgets from top to bottom."""
        return [
            w.HTML("<h3>Wall</h3>"),
            self.wall,
            self.rules,
            w.HTML("<h3>Option</h3>"),
            self.slider,
            self.number,
            self.usual,
            *self.choices.values(),
            w.HTML("<h3>Picture</h3>"),
            self.layer,
            self.folder,
        ]

    def follow(self) -> None:
        """Show what the state holds, without acting on it."""
        self._busy = True
        try:
            state, offers, option = self.state, self.state.offers, self.state.option
            walls = state.wall_choices()
            if dict(self.wall.options) != walls:
                self.wall.options = walls
            self.wall.value = state.wall_path
            self.rules.value = state.rules.name if state.rules.name in ("uk", "us") else None
            for name, known in (
                ("fill", [("none", ""), *((f, f) for f in offers.fills)]),
                ("sheet", [("cheapest mix", ""), *((s, s) for s in offers.sheets(option.board_a))]),
                ("board_a", [("by the room", ""), *((b, b) for b in offers.boards)]),
                ("board_b", [("by the room", ""), *((b, b) for b in offers.boards)]),
            ):
                if tuple(self.choices[name].options) != tuple(known):
                    self.choices[name].options = known
            for name, widget in self.choices.items():
                value = getattr(option, name)
                widget.value = "" if value is None else value
            low, high = offers.centres
            for widget in (self.slider, self.number):
                if widget.max != high:
                    widget.min, widget.max = low, high
                widget.value = min(max(option.stud_centres, low), high)
            if [b.tooltip for b in self.usual.children] != [_name(c) for c in offers.usual]:
                self.usual.children = [self._usual_button(c) for c in offers.usual]
            for centres, made in zip(offers.usual, self.usual.children, strict=True):
                (made.add_class if abs(centres - option.stud_centres) < 0.05 else made.remove_class)(
                    "wallcalc-on"
                )
        finally:
            self._busy = False

    def _usual_button(self, centres: float) -> w.Button:
        made = button(
            f"{centres:g}", lambda: self._act(lambda: self.state.choose(stud_centres=centres)), width="56px"
        )
        made.tooltip = _name(centres)
        return made

    def _listen(self) -> None:
        state = self.state

        def on(widget: w.Widget, action: Callable[[Any], Any]) -> None:
            def changed(change: dict[str, Any]) -> None:
                if not self._busy:
                    self._act(lambda: action(change["new"]))

            widget.observe(changed, "value")

        on(self.wall, lambda path: state.choose_wall(path) if path is not None else None)
        on(self.rules, lambda name: state.choose_rules(name) if name else None)
        on(self.slider, lambda value: state.choose(stud_centres=value))
        on(self.number, lambda value: state.choose(stud_centres=value))
        on(self.folder, state.choose_folder)
        on(self.layer, lambda _: None)
        for name, widget in self.choices.items():
            on(widget, lambda value, name=name: state.choose(**{name: None if value == "" else value}))


def _name(centres: float) -> str:
    return f"stud centres {centres:g} mm"
