"""The panel's controls: every one labelled with its unit and reachable by keyboard."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import ipywidgets as w

from wallcalc.given.option import COURSES_FROM, SECTIONS, SET_OUT_FROM
from wallcalc.panel.fold import Fold
from wallcalc.panel.presets import PRESETS
from wallcalc.panel.spoken import ON, PRESS
from wallcalc.panel.words import CHOICES, LAYOUTS, ORIENTATIONS

WIDE = {"description_width": "initial"}
FULL = "98%"
HEIGHT = "height"
"""The course choice that takes its height from a number box."""
LEAST_JOINT, FIRST_JOINT = 300.0, 1200.0
"""Least height of a horizontal joint that the box takes, and the one it begins with, mm."""


def dropdown(label: str, options: Any, value: Any) -> w.Dropdown:
    """Return a labelled dropdown that takes the width of its column."""
    return w.Dropdown(
        description=label, options=options, value=value, style=WIDE, layout=w.Layout(width=FULL)
    )


def number(label: str, low: float, high: float, value: float, step: float = 1.0) -> w.BoundedFloatText:
    """Return a labelled number box that takes the width of its column."""
    return w.BoundedFloatText(
        description=label, min=low, max=high, step=step, value=value, style=WIDE, layout=w.Layout(width=FULL)
    )


def show_on_slider(slider: w.FloatSlider, value: float) -> None:
    """Put a slider on its step nearest to a value.

    A slider given a value between its steps moves to a step by itself and says so, which would undo what a person
    typed into the box beside it.
    """
    steps = round((value - slider.min) / slider.step)
    slider.value = min(max(slider.min + steps * slider.step, slider.min), slider.max)


def button(label: str, act: Callable[[], Any], *, strong: bool = False, width: str = "auto") -> w.Button:
    """Return a button that calls ``act``."""
    made = w.Button(description=label, layout=w.Layout(width=width))
    if strong:
        made.add_class("wallcalc-act")
    made.on_click(lambda _: act())
    return made


def row_of(children: list[Any], gap: str = "6px") -> w.HBox:
    """Return a row that breaks where the window is narrow."""
    return w.HBox(
        children,
        layout=w.Layout(flex_flow="row wrap", width="100%", grid_gap=gap, align_items="flex-start"),
    )


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
        self.rules = dropdown(
            "trade rules", [("UK, metric sheets", "uk"), ("US, inch sheets", "us")], state.rules.name
        )
        self.preset = dropdown("start from", [("own choices", ""), *((p.name, p.name) for p in PRESETS)], "")
        self.preset_why = w.HTML()
        self.slider = w.FloatSlider(
            description="stud centres, mm",
            min=low,
            max=high,
            step=1.0,
            value=min(max(option.stud_centres, low), high),
            readout=False,
            style=WIDE,
            layout=w.Layout(width=FULL),
        )
        self.number = number("exact centres, mm", low, high, self.slider.value)
        self.usual = w.HBox(layout=w.Layout(flex_flow="row wrap"))
        self.choices: dict[str, w.Dropdown] = {
            "stud_layout": dropdown(
                CHOICES["stud_layout"], [(v, k) for k, v in LAYOUTS.items()], option.stud_layout
            ),
            "board_orientation": dropdown(
                "boards", [(v, k) for k, v in ORIENTATIONS.items()], option.board_orientation
            ),
            "fill": dropdown(CHOICES["fill"], [("none", "")], ""),
            "section": dropdown(CHOICES["section"], SECTIONS, option.section),
            "layers_a": dropdown(CHOICES["layers_a"], [1, 2], option.layers_a),
            "layers_b": dropdown(CHOICES["layers_b"], [1, 2], option.layers_b),
            "set_out_from": dropdown(CHOICES["set_out_from"], SET_OUT_FROM, option.set_out_from),
            "sheet": dropdown(CHOICES["sheet"], [("cheapest mix", "")], ""),
            "board_a": dropdown(CHOICES["board_a"], [("by the room", "")], ""),
            "board_b": dropdown(CHOICES["board_b"], [("by the room", "")], ""),
            "course_from": dropdown(
                CHOICES["course_from"],
                [*((c, c) for c in COURSES_FROM), ("a height", HEIGHT)],
                COURSES_FROM[0],
            ),
        }
        self.joint = number("joint at a height, mm", LEAST_JOINT, 12_000.0, FIRST_JOINT, 10.0)
        self.layer = dropdown("layer shown", [("1, against the frame", 1), ("2, outer", 2)], 1)
        more = ("set_out_from", "sheet", "board_a", "board_b", "course_from")
        self.more = Fold("more choices", [*(self.choices[name] for name in more), self.joint])
        self._first = [
            widget for name, widget in self.choices.items() if name not in more and name != "stud_layout"
        ]
        self.follow()
        self._listen()

    def column(self) -> list[w.Widget]:
        """Return the widgets from top to bottom."""
        return [
            w.HTML("<h3>Wall</h3>"),
            self.wall,
            self.rules,
            w.HTML("<h3>Option</h3>"),
            self.preset,
            self.preset_why,
            self.choices["stud_layout"],
            self.slider,
            self.number,
            self.usual,
            *self._first,
            self.more.stacked(),
            w.HTML("<h3>Picture</h3>"),
            self.layer,
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
            preset = state.preset
            self.preset.value = preset.name if preset else ""
            why = preset.why if preset else "your own choices, like no preset"
            self.preset_why.value = f'<div class="wallcalc-note wallcalc-why">{why}</div>'
            for name, known in (
                ("fill", [("none", ""), *((f, f) for f in offers.fills)]),
                ("sheet", [("cheapest mix", ""), *((s, s) for s in offers.sheets(option.board_a))]),
                ("board_a", [("by the room", ""), *((b, b) for b in offers.boards)]),
                ("board_b", [("by the room", ""), *((b, b) for b in offers.boards)]),
            ):
                own = getattr(option, name)
                if own is not None and own not in dict(known).values():
                    known.append((f"{own} (not on offer)", own))
                if tuple(self.choices[name].options) != tuple(known):
                    self.choices[name].options = known
            at_height = isinstance(option.course_from, float | int)
            for name, widget in self.choices.items():
                value = HEIGHT if name == "course_from" and at_height else getattr(option, name)
                widget.value = "" if value is None else value
            self.joint.layout.display = "flex" if at_height else "none"
            self.joint.max = max(state.wall.height / 10 - LEAST_JOINT, LEAST_JOINT + 1.0)
            if at_height:
                self.joint.value = float(option.course_from)
            self._follow_centres()
        finally:
            self._busy = False

    def _follow_centres(self) -> None:
        offers, option = self.state.offers, self.state.option
        low, high = offers.centres
        fitted = option.stud_layout == "fitted"
        for widget in (self.slider, self.number):
            if widget.max != high:
                widget.min, widget.max = low, high
        if not fitted:
            self.number.value = min(max(option.stud_centres, low), high)
            show_on_slider(self.slider, option.stud_centres)
        self.slider.disabled = self.number.disabled = self.choices["set_out_from"].disabled = fitted
        if [b.tooltip for b in self.usual.children] != [_name(c) for c in offers.usual]:
            self.usual.children = [self._usual_button(c) for c in offers.usual]
        for centres, made in zip(offers.usual, self.usual.children, strict=True):
            on = not fitted and abs(centres - option.stud_centres) < 0.05
            (made.add_class if on else made.remove_class)(ON)

    def _usual_button(self, centres: float) -> w.Button:
        made = button(
            f"{centres:g}", lambda: self._act(lambda: self.state.choose(stud_centres=centres)), width="56px"
        )
        made.tooltip = _name(centres)
        made.add_class(PRESS)
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
        on(self.preset, self._take_preset)
        on(self.slider, lambda value: state.choose(stud_centres=value))
        on(self.number, lambda value: state.choose(stud_centres=value))
        on(self.joint, lambda value: state.choose(course_from=value))
        on(self.layer, lambda _: None)
        for name, widget in self.choices.items():
            on(widget, lambda value, name=name: self._choose(name, value))

    def _choose(self, name: str, value: Any) -> None:
        if name == "course_from" and value == HEIGHT:
            value = min(self.joint.value, self.joint.max)
        self.state.choose(**{name: None if value == "" else value})

    def _take_preset(self, name: str) -> None:
        found = next((p for p in PRESETS if p.name == name), None)
        if found is not None:
            self.state.choose_preset(found)


def _name(centres: float) -> str:
    return f"stud centres {centres:g} mm"
