"""What a prediction takes and what it gives: plain frozen records, usable as cache keys."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

BANDS = (50.0, 63.0, 80.0, 100.0, 125.0, 160.0, 200.0, 250.0, 315.0, 400.0, 500.0, 630.0, 800.0,
         1000.0, 1250.0, 1600.0, 2000.0, 2500.0, 3150.0, 4000.0, 5000.0)  # fmt: skip
"""Nominal third-octave band centres of every prediction, Hz."""

EXACT_BANDS = tuple(1000.0 * 10.0 ** ((i - 13) / 10.0) for i in range(len(BANDS)))
"""Exact (base ten) band centres that belong to :data:`BANDS`, Hz (IEC 61260-1)."""

PLASTERBOARD_HFC = 37.9
"""Thickness times critical frequency of plasterboard, m Hz. Hopkins, Sound Insulation (2007), gives 43.5 for
natural gypsum, 35.8 for natural and flue-gas gypsum mixed, 32.3 with glass fibre; the middle of that range."""


@dataclass(frozen=True, slots=True)
class Leaf:
    """The lining of one side: equal layers of board, screwed and not glued together.

    Attributes
    ----------
    surface_mass : float
        Mass of one layer, kg/m2.
    thickness : float
        Thickness of one layer, mm.
    layers : int
        How many layers.
    hfc : float
        Thickness times critical frequency of the board, m Hz.
    """

    surface_mass: float
    thickness: float
    layers: int = 1
    hfc: float = PLASTERBOARD_HFC

    def __post_init__(self) -> None:
        _positive(
            "Leaf", surface_mass=self.surface_mass, thickness=self.thickness, layers=self.layers, hfc=self.hfc
        )

    @property
    def mass(self) -> float:
        """Mass of all layers, kg/m2."""
        return self.surface_mass * self.layers

    @property
    def critical_frequency(self) -> float:
        """Critical frequency of one layer, Hz; layers that slip on each other keep it."""
        return self.hfc / (self.thickness * 1e-3)


@dataclass(frozen=True, slots=True)
class Absorber:
    """What lies in the cavity.

    Attributes
    ----------
    thickness : float
        Thickness of the slab, mm; the rest of the cavity is air.
    density : float
        Density, kg/m3.
    flow_resistivity : float
        Airflow resistivity, Pa s/m2.
    """

    thickness: float
    density: float
    flow_resistivity: float

    def __post_init__(self) -> None:
        _positive(
            "Absorber", thickness=self.thickness, density=self.density, flow_resistivity=self.flow_resistivity
        )


@dataclass(frozen=True, slots=True)
class Build:
    """The wall as sound meets it.

    Attributes
    ----------
    leaf_a, leaf_b : Leaf
        The two linings.
    depth : float
        Depth of the cavity (the studs' size through the wall), mm.
    stud_width : float
        Width of one stud seen in elevation, mm.
    stud_x : tuple of float
        Centres of all full-height studs from the left end, mm, end studs and doubled studs included.
    length, height : float
        Size of the wall, mm.
    fill : Absorber or None
        What lies in the cavity; None for air alone.
    screw_spacing : float
        Distance between the screws along a stud, mm.
    openings : tuple of (float, float)
        Left and right edges of door and hatch openings, mm; the bays there are left out.
    """

    leaf_a: Leaf
    leaf_b: Leaf
    depth: float
    stud_width: float
    stud_x: tuple[float, ...]
    length: float
    height: float
    fill: Absorber | None = None
    screw_spacing: float = 300.0
    openings: tuple[tuple[float, float], ...] = ()

    def __post_init__(self) -> None:
        _positive(
            "Build",
            depth=self.depth,
            stud_width=self.stud_width,
            length=self.length,
            height=self.height,
            screw_spacing=self.screw_spacing,
        )
        xs = tuple(sorted(float(x) for x in self.stud_x))
        if len(xs) < 2:
            raise ValueError(f"Build.stud_x: found {len(xs)} stud(s); give the centres of at least two")
        object.__setattr__(self, "stud_x", xs)

    @property
    def area(self) -> float:
        """Area of the whole wall, m2."""
        return self.length * self.height * 1e-6

    def swapped(self) -> Build:
        """Return the same wall seen from the other side."""
        return replace(self, leaf_a=self.leaf_b, leaf_b=self.leaf_a)


@dataclass(frozen=True, slots=True)
class Uncertainty:
    """Standard uncertainty of a prediction, dB: per band, of Rw and of STC, and where it comes from."""

    bands: tuple[float, ...]
    Rw: float
    STC: float
    source: str


@dataclass(frozen=True, slots=True)
class WithDoor:
    """The wall together with its openings' infill.

    ``R`` per band and single numbers of the whole; ``area`` and ``rating`` of the infill (m2, Rw in dB);
    ``rating_for_one`` is the Rw the infill would need so that the whole is 1 dB below the bare wall.
    """

    R: tuple[float, ...]
    Rw: int
    C: int
    Ctr: int
    STC: int
    area: float
    rating: float
    rating_for_one: float


@dataclass(frozen=True, slots=True)
class Sound:
    """A predicted sound reduction.

    Attributes
    ----------
    frequency : tuple of float
        Nominal third-octave band centres, Hz (:data:`BANDS`).
    R : tuple of float
        Sound reduction index per band, dB, as a laboratory without flanking would measure it.
    Rw, C, Ctr : int
        Single numbers of ISO 717-1, dB (100-3150 Hz).
    STC : int
        Sound transmission class, ASTM E413.
    uncertainty : Uncertainty
        Standard uncertainty per band, of Rw and of STC.
    model : str
        Which model computed it.
    shortfall : tuple of float
        How far each band lies under the shifted reference curve of ISO 717-1, dB (0 outside 100-3150 Hz).
    stc_shortfall : tuple of float
        The same under the contour of ASTM E413 (125-4000 Hz).
    with_door : WithDoor or None
        The wall with its openings' infill, where one was given.
    notes : tuple of str
        What the reader has to know: inputs outside the model's range, STC at wide centres.
    C_50_5000, Ctr_50_5000 : int
        The terms over 50-5000 Hz (ISO 717-1, Annex B).
    STC_low : int
        STC that published guidance on stud centres would credit, where that is less than ``STC``; else ``STC``.
    """

    frequency: tuple[float, ...]
    R: tuple[float, ...]
    Rw: int
    C: int
    Ctr: int
    STC: int
    uncertainty: Uncertainty
    model: str
    shortfall: tuple[float, ...]
    stc_shortfall: tuple[float, ...]
    with_door: WithDoor | None = None
    notes: tuple[str, ...] = field(default=())
    C_50_5000: int = 0
    Ctr_50_5000: int = 0
    STC_low: int = 0

    @property
    def stc_text(self) -> str:
        """STC as it should be read: one number, or "34 to 38" where the model promises more than guidance credits."""
        return f"{self.STC_low} to {self.STC}" if self.STC_low < self.STC else f"{self.STC}"


def _positive(record: str, **values: float) -> None:
    wrong = [
        f"{record}.{k}: found {v!r}; give a number above 0" for k, v in values.items() if not 0 < v < 1e9
    ]
    if wrong:
        raise ValueError("; ".join(wrong))
