"""Studs wider apart than usual: what published guidance would credit, and what was tried to explain the rest.

The periodic model gives a wall at 600 mm centres 4 to 10 STC more than the same wall at 400 mm, since the dip of the
board between two studs slides below 125 Hz, the first band that STC counts. Public laboratory guidance says that the
gain is "usually one or two points" (of studs and resilient channels alike). Rw, which has no rule for a single band,
keeps near the guidance. No published physics was found that takes the difference away and still keeps the wall whose
spectrum is published, so the claim is bounded instead: a wall with bays wider than the guidance's lower centres is
also given the STC that the guidance would credit, and the gap between the two counts as doubt.
"""

from __future__ import annotations

from dataclasses import replace
from typing import NamedTuple

import numpy as np

from wallcalc.sound.records import Build

USUAL_CENTRES = 400.0
"""Stud centres from which the guidance counts its gain, mm."""
GAIN = 2
"""Most STC that the guidance credits to 600 mm centres over :data:`USUAL_CENTRES`, dB."""
GUIDANCE = (
    "NRC Canada, Construction Technology Update 1 (Warnock and Quirt): 'one or two points' from 400 to 600 mm"
)
STATUS = "seen"
STRAY = 10.0
"""How much wider than :data:`USUAL_CENTRES` the mean bay may be and still count as usual, mm (406 mm is 16 in)."""


class Tried(NamedTuple):
    """A piece of physics tried in the direct model: its source, and what it did.

    ``gains`` are the STC gained from 406 to 610 mm centres with one 12.7 mm board a side, cavity empty, with 50 mm and
    with 89 mm of light wool; ``rms`` (dB, 100 to 4000 Hz) and ``STC`` are those of the published spectrum's wall,
    which measured STC 32.
    """

    what: str
    source: str
    gains: tuple[int, int, int]
    rms: float
    STC: int
    verdict: str


TRIED = (
    Tried(
        "the model as it is", "this module",
        (4, 6, 10), 2.8, 33, "shipped",
    ),
    Tried(
        "strips held at head and sole plate, wall 2.44 m high", "window of a finite panel: Villot et al. 2001, memory",
        (4, 6, 9), 2.6, 35, "moves nothing",
    ),
    Tried(
        "held at both ends of a 3.05 m wall too", "as above",
        (3, 6, 7), 3.1, 37, "published wall 5 too high",
    ),
    Tried(
        "plates carry sound across as studs do", "bound: as free to move as studs; edge coupling, Vigran 2008",
        (3, 5, 8), 3.3, 33, "still beyond; spectrum worse",
    ),
    Tried(
        "a row of noggins carries sound across too", "bound: as free to move as studs",
        (3, 6, 9), 3.0, 33, "still beyond; published wall has none",
    ),
    Tried(
        "upright boards 1.5 times as stiff along their length", "paper's direction; ratio from memory",
        (2, 4, 8), 3.1, 35, "published wall 3 too high",
    ),
    Tried(
        "the same boards on their side", "as above",
        (5, 9, 11), 2.4, 33, "gains grow",
    ),
    Tried(
        "one stiffness of board in place of its range", "Hopkins 2007: middle of 32.3 to 43.5 m Hz",
        (3, 4, 9), 3.5, 34, "0 to 6 empty, by the stiffness taken",
    ),
    Tried(
        "boards hinged where they join", "bound: taped joint without stiffness",
        (3, 6, 9), 2.4, 35, "published wall 3 too high",
    ),
    Tried(
        "boards hinged at every stud", "bound",
        (2, 1, 6), 4.6, 37, "published spectrum lost",
    ),
    Tried(
        "stud turns freely under the board", "bound",
        (4, 6, 7), 3.5, 34, "spectrum worse",
    ),
    Tried(
        "stud does not turn at all", "bound",
        (4, 7, 10), 3.2, 34, "gains grow",
    ),
    Tried(
        "board held over 30 mm of stud face", "width of a stud",
        (4, 7, 8), 3.2, 33, "gains grow",
    ),
    Tried(
        "screws 200 mm apart", "nearer to a line: Craik and Smith 2000, memory",
        (3, 6, 7), 5.7, 33, "published spectrum lost",
    ),
    Tried(
        "fill without a stiffness of its own", "part of a full fill that acts",
        (4, 6, 9), 5.0, 33, "published spectrum lost",
    ),
    Tried(
        "fibres dragged along by the air", "limp frame: Panneton 2007, memory",
        (4, 5, 10), 2.7, 34, "moves nothing",
    ),
    Tried(
        "2.5 mm of air between fill and boards", "unbonded fill: Allard and Atalla, memory",
        (4, 6, 9), 5.2, 33, "published spectrum lost",
    ),
    Tried(
        "sound from up to 78 degrees on a wall without end", "field incidence",
        (4, 6, 10), 3.7, 33, "moves nothing",
    ),
    Tried(
        "3 m2 moving together in place of 9", "Sewell 1970",
        (3, 6, 9), 2.5, 34, "moves little",
    ),
    Tried(
        "bays that differ by 8 %", "workmanship",
        (4, 6, 10), 2.7, 34, "moves nothing",
    ),
    Tried(
        "board losses halved", "bare material: Hopkins 2007",
        (2, 6, 7), 3.6, 33, "spectrum worse",
    ),
)  # fmt: skip
"""What was tried, with the figures of trials in the direct model (160 to 384 points a band, so give or take 1)."""


def usual(build: Build) -> Build:
    """Return the same wall with single studs at the guidance's lower centres, whole bays, about as long.

    Parameters
    ----------
    build : Build
        The wall.

    Returns
    -------
    Build
        Without openings.
    """
    count = max(1, round(build.length / USUAL_CENTRES))
    studs = 0.5 * build.stud_width + USUAL_CENTRES * np.arange(count + 1)
    return replace(
        build, stud_x=tuple(studs.tolist()), length=float(studs[-1]) + 0.5 * build.stud_width, openings=()
    )


def is_wide(mean_bay: float) -> bool:
    """Return whether a mean bay (m, centre to centre) is wider than the guidance's lower centres."""
    return mean_bay * 1e3 > USUAL_CENTRES + STRAY


def doubt(promised: int, credited: int) -> float:
    """Return the standard uncertainty that the gap between model and guidance adds, dB.

    Parameters
    ----------
    promised, credited : int
        STC of the model and of the guidance.

    Returns
    -------
    float
        Root mean square distance from ``promised`` of a value that may lie anywhere between the two, gap / sqrt(3).
    """
    return max(0, promised - credited) / np.sqrt(3.0)


def note(promised: int, credited: int) -> str:
    """Return what a reader has to know of a wall with wide bays."""
    return (
        f"STC {promised} is an upper figure: at stud centres this wide it rests on the dip lying below 125 Hz, while "
        f"published guidance credits 600 mm centres with only one or two points over 400 mm, which would make it "
        f"{credited}; read STC as {credited} to {promised}"
    )
