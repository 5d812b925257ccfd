"""The constants that were chosen with measured walls in sight, each with its meaning and range."""

from __future__ import annotations

from typing import NamedTuple

from wallcalc.sound.gap import EMPTY_LOSS, FRAME_MODULUS
from wallcalc.sound.periodic import BOARD_LOSS


class Chosen(NamedTuple):
    """A constant: its value, the range that is physically open, its unit and what it means."""

    name: str
    value: float
    low: float
    high: float
    unit: str
    meaning: str
    source: str


def chosen() -> tuple[Chosen, ...]:
    """Return the constants of the periodic model that were chosen with the measured rows in sight.

    All others are published values or sizes of the wall, set before any comparison.

    Returns
    -------
    tuple of Chosen
    """
    return (
        Chosen(
            "board loss", BOARD_LOSS, 0.0125, 0.03, "", "loss factor of plasterboard screwed to studs and jointed",
            "material 0.0125 (Hopkins, Sound Insulation, 2007); in place 0.03 (Davy 2010, from memory)",
        ),
        Chosen(
            "empty cavity's loss", EMPTY_LOSS, 0.02, 0.15, "", "what paper, timber and leaks take out of the air",
            "absorption coefficient 0.1 of an empty cavity (Davy 1990, from memory)",
        ),
        Chosen(
            "fibre modulus per density", FRAME_MODULUS, 400.0, 2000.0, "Pa per kg/m3",
            "stiffness of a full fill's own fibres", "light wools some kPa to tens of kPa (from memory)",
        ),
    )  # fmt: skip
