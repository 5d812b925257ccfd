"""The rules that framing and boarding need, read once from the rule book into plain numbers (0.1 mm)."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from wallcalc.trade.rules import Rules
from wallcalc.units.lengths import MM


@dataclass(frozen=True, slots=True)
class FrameRules:
    """Rules for the frame and the boards; lengths in 0.1 mm. Named after their keys in the rule file.

    ``waste_fall`` is in mm per m; ``bores`` lists the rules for holes in studs whose breach is a fail: the greatest
    share of the depth (percent) and the least wood left at each edge.
    """

    least_bay: int
    head_packing: int
    plate_end_fixing: int
    plate_least_fixings: int
    plate_short: int
    stability_rows: bool
    stability_spacing: int
    noggin_over_door_from: int
    noggin_min: int
    jamb: str
    edge_bound: int
    edge_cut: int
    timber_edge: int
    gap: int
    tolerance: int
    jamb_fail: int
    jamb_caution: int
    layer_offset: int
    back_long_edges: bool
    floor_gap: int
    ceiling_gap: int
    narrow_strip: int
    joist_noggin_centres: int
    joist_thickness: int
    hole_edge: int
    waste_fall: float
    bores: tuple[tuple[float, int], ...]

    def bore_most(self, depth: int) -> int:
        """Return the greatest hole that may be bored through timber of a depth, 0.1 mm.

        The smaller of a share of the depth and what leaves wood enough at both edges, by every rule that forbids.
        """
        return min(
            (min(int(depth * share / 100), depth - 2 * edge) for share, edge in self.bores), default=depth
        )

    def need(self, first: str, second: str) -> int:
        """Return the width of timber a joint needs, 0.1 mm.

        Screw to board edge and timber edge on both sides, the joint gap and twice the setting tolerance.
        """
        edge = {"bound": self.edge_bound, "cut": self.edge_cut}
        return edge[first] + edge[second] + 2 * self.timber_edge + self.gap + 2 * self.tolerance

    @property
    def meeting(self) -> tuple[int, int]:
        """Where two pieces behind a joint may meet, 0.1 mm from it: no further than the one, no nearer than the other.

        So that the screws of both boards' edges keep the timber's edge distance.
        """
        near = min(self.edge_bound, self.edge_cut) - self.timber_edge - self.tolerance
        far = max(self.edge_bound, self.edge_cut) + self.timber_edge + self.tolerance + self.gap
        return max(near, 0), far

    @property
    def least_strip(self) -> int:
        """Width of the narrowest strip of board that takes a screw far enough from both its edges, 0.1 mm."""
        return 2 * max(self.edge_bound, self.edge_cut)

    def centred(self, first: str, second: str) -> int:
        """Return the width that timber centred on a joint needs, 0.1 mm: twice what the more demanding edge asks."""
        edge = {"bound": self.edge_bound, "cut": self.edge_cut}
        return 2 * (max(edge[first], edge[second]) + self.timber_edge + self.tolerance) + self.gap


@lru_cache(maxsize=64)
def frame_rules(rules: Rules) -> FrameRules:
    """Return the framing rules of a rule book as plain numbers."""
    t = rules.tenths
    return FrameRules(
        least_bay=t("frame.least_bay"),
        head_packing=t("frame.head_packing"),
        plate_end_fixing=t("frame.plate_end_fixing"),
        plate_least_fixings=int(rules.value("frame.plate_least_fixings")),
        plate_short=t("cutting.plate_short"),
        stability_rows=bool(rules.value("frame.stability_rows")),
        stability_spacing=t("frame.stability_spacing"),
        noggin_over_door_from=t("frame.noggin_over_door_from"),
        noggin_min=t("frame.noggin_min"),
        jamb=str(rules.value("frame.jamb")),
        edge_bound=t("joint.edge_bound"),
        edge_cut=t("joint.edge_cut"),
        timber_edge=t("joint.timber_edge"),
        gap=t("joint.gap"),
        tolerance=t("joint.tolerance"),
        jamb_fail=t("joint.jamb_fail"),
        jamb_caution=t("joint.jamb_caution"),
        layer_offset=t("joint.layer_offset"),
        back_long_edges=bool(rules.value("joint.back_long_edges")),
        floor_gap=t("board.floor_gap"),
        ceiling_gap=t("board.ceiling_gap"),
        narrow_strip=t("board.narrow_strip"),
        joist_noggin_centres=t("joist.noggin_centres"),
        joist_thickness=t("joist.thickness"),
        hole_edge=t("service.hole_edge"),
        waste_fall=float(rules.value("service.waste_fall")),
        bores=tuple(
            (float(row["most_percent"]), round(float(row["edge_least"]) * MM))
            for row in rules.rows("hole_notch")
            if row["kind"] == "hole" and row["member"] == "stud" and row["verdict"] == "fail"
        ),
    )
