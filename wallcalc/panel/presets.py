"""Ready choices for common walls, in trade words, fitted to what rules and prices have on offer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from wallcalc.given.option import Option
from wallcalc.given.wall import Wall
from wallcalc.panel.offers import Offers

WIDEST, NARROWEST = "widest", "narrowest"
DENSE, MOISTURE = "dense", "moisture"
THICKEST = "thickest"


@dataclass(frozen=True, slots=True)
class Preset:
    """A ready choice.

    Attributes
    ----------
    name, why : str
        What it is called, and when it is worth a look.
    choices : mapping
        Keywords of :class:`~wallcalc.given.option.Option` that are no matter of what is on offer.
    centres : str or float
        "widest" or "narrowest" of the usual centres, or the usual ones nearest to this, mm.
    board : str
        Kind of board on both sides ("dense"), "" for what the room asks for.
    wet_board : str
        Kind of board on the wet or tiled sides, "" for what the room asks for.
    fill : str
        "thickest" that goes into the frame, or "" for an empty cavity.
    """

    name: str
    why: str
    choices: Mapping[str, Any] = field(default_factory=dict)
    centres: str | float = WIDEST
    board: str = ""
    wet_board: str = ""
    fill: str = ""


PRESETS = (
    Preset("plain wall", "the least that a room divider needs"),
    Preset(
        "quiet wall",
        "two dense layers a side and a full cavity",
        {"layers_a": 2, "layers_b": 2},
        board=DENSE,
        fill=THICKEST,
    ),
    Preset("bedroom wall", "one layer a side and a full cavity", fill=THICKEST),
    Preset(
        "tiled wet wall",
        "close studs, and boards for moisture on the wet side",
        centres=NARROWEST,
        wet_board=MOISTURE,
    ),
    Preset(
        "stiff wall at a low price",
        "closer studs, boards on their side",
        {"board_orientation": "horizontal"},
        centres=400.0,
    ),
    Preset("slim wall", "the shallowest studs, closer together", {"section": "38x63"}, centres=400.0),
    Preset("deep wall for pipes", "room for pipes and for holes in the studs", {"section": "38x140"}),
)


def preset_option(preset: Preset, wall: Wall, offers: Offers) -> Option:
    """Return a preset as an option.

    Whatever the preset does not say is as by default.
    """
    choices = dict(preset.choices)
    usual = offers.usual or (offers.centres[1],)
    if preset.centres in (WIDEST, NARROWEST):
        choices["stud_centres"] = usual[-1] if preset.centres == WIDEST else usual[0]
    else:
        choices["stud_centres"] = min(usual, key=lambda c: abs(c - float(preset.centres)))
    for name, room in (("board_a", wall.room_a), ("board_b", wall.room_b)):
        kind = preset.wet_board if preset.wet_board and (room.wet or room.tiled_to) else preset.board
        choices[name] = offers.board_of_kind(kind)
    option = Option(**choices)
    if preset.fill == THICKEST:
        option = Option(**choices, fill=offers.thickest_fill(option.section))
    return option
