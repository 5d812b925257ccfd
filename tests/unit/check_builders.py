"""Walls built by hand for the tests of the checks: plates, studs at given places, boards, joints on studs."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from sites import level_profile

from wallcalc.checks import Facts
from wallcalc.geometry.rectangles import Clear
from wallcalc.given.option import Option
from wallcalc.given.parts import Opening, Room
from wallcalc.given.wall import Wall
from wallcalc.records import Board, Frame, Joint, Member
from wallcalc.trade.prices import PriceBook
from wallcalc.trade.rules import Rules
from wallcalc.units.lengths import MM

UK, US = Rules.load("uk"), Rules.load("us")
BOOK = PriceBook.load()
T = 38 * MM


@dataclass(frozen=True)
class Uncertainty:
    Rw: float = 2.0
    STC: float = 2.0


@dataclass(frozen=True)
class FakeSound:
    Rw: float
    STC: float = 40.0
    uncertainty: Uncertainty = Uncertainty()
    with_door: None = None


def studs_at(
    length: float,
    height: float,
    centres: list[float],
    section: str = "38x89",
    doubled: tuple[float, ...] = (),
    door: tuple[float, float, float] | None = None,
    shorts: tuple[float, ...] = (),
    rows: tuple[float, ...] = (),
    flat: bool = False,
    jamb_doubled: bool = False,
) -> Frame:
    """A frame with end studs, studs whose middles stand at ``centres`` (mm), a pair where ``doubled``."""
    L, H, depth = round(length * MM), round(height * MM), int(section.split("x")[1]) * MM
    tall = H - 2 * T
    members = [
        Member("HP1", "head plate", section, 0, H - T, L, T, L, depth),
        Member("SP1", "sole plate", section, 0, 0, L, T, L, depth),
    ]

    def stud(mark: str, role: str, x: int) -> None:
        members.append(Member(mark, role, section, x, T, T, tall, tall, depth))

    stud("ES1", "end stud", 0)
    stud("ES2", "end stud", L - T)
    for i, c in enumerate(centres, 1):
        if c in doubled:
            stud(f"S{i}", "stud", round(c * MM) - T)
            stud(f"DS{i}", "double stud", round(c * MM))
        else:
            stud(f"S{i}", "stud", round(c * MM) - T // 2)
    clears = ()
    if door is not None:
        left, right, top = (round(v * MM) for v in door)
        clears = (Clear(0, "door", left, right, 0, top),)
        for k in range(2 if jamb_doubled else 1):
            stud(f"JS{2 * k + 1}", "jamb stud", left - (k + 1) * T)
            stud(f"JS{2 * k + 2}", "jamb stud", right + k * T)
        members.append(Member("DH1", "door head", section, left, top, right - left, T, right - left, depth))
        for i, c in enumerate(shorts, 1):
            short = H - T - top - T
            members.append(
                Member(
                    f"SS{i}", "short stud", section, round(c * MM) - T // 2, top + T, T, short, short, depth
                )
            )
    xs = sorted((m.x, m.right) for m in members if m.height > m.width and m.role != "short stud")
    for r, y in enumerate(rows, 1):
        for (_, a), (b, _) in pairwise(xs):
            if b > a and not any(c.left < b and c.right > a for c in clears):
                size = depth if flat else T
                members.append(
                    Member(f"N{r}.{a}", "noggin", section, a, round(y * MM), b - a, size, b - a, T if flat else depth,
                           "A" if flat else "AB", flat=flat)
                )  # fmt: skip
    return Frame(level_profile(L, H), clears, tuple(members), (), ())


def boarded(
    frame: Frame,
    joints: dict[str, list[float]],
    product: str = "standard-12.5",
    kind: str = "bound-bound",
    need: float = 38.0,
    layers: int = 1,
    lying: bool = False,
    floor_gap: float = 12.0,
) -> Frame:
    """The same frame with upright boards from wall end to wall end, joints at the given x (mm) on each side."""
    boards, lines = [], []
    low = round(floor_gap * MM)
    for side, xs in joints.items():
        for layer in range(1, layers + 1):
            stops = [0, *(round(x * MM) for x in xs), frame.length]
            for n, (a, b) in enumerate(pairwise(stops), 1):
                outline = ((a, low), (b, low), (b, frame.height), (a, frame.height))
                boards.append(
                    Board(f"{side}{layer}-{n}", side, layer, 1, product, a, low, b - a, frame.height - low, outline,
                          ("left", "right") if kind == "bound-bound" else (), lying, 0)
                )  # fmt: skip
            lines += [
                Joint(side, layer, x, low, x, frame.height, kind, (), round(need * MM)) for x in stops[1:-1]
            ]
    return Frame(frame.profile, frame.clears, frame.members, tuple(boards), tuple(lines))


def facts(
    frame: Frame,
    *,
    rules: Rules = UK,
    option: Option | None = None,
    sound: object = None,
    fill: tuple = (),
    **wall,
) -> Facts:
    """Facts about a frame; keywords go to the wall (``room_a``, ``openings``...)."""
    section = next(m.section for m in frame.members)
    option = option or Option(section=section, stud_centres=600)
    if "openings" not in wall:
        wall["openings"] = tuple(
            Opening("door", c.left, width=c.right - c.left, height=c.top) for c in frame.clears
        )
    given = Wall("test wall", frame.length, ((0, frame.height),), **wall)
    return Facts(given, option, rules, BOOK, frame, fill, sound)


def rows_of(found, check: str, text: str = "") -> list:
    """Rows of one check whose subject or case holds ``text``."""
    return [r for r in found if r.check == check and (text in r.subject or text in r.case)]


def plain_room(use: str = "living", **given) -> Room:
    return Room(use, use, **given)
