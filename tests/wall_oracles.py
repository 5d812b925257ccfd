"""Everything that has to hold of every design, in one list."""

from __future__ import annotations

import oracle_uneven
from oracle_boards import backing_faults, joint_rule_faults, joint_table_faults, lining_faults
from oracle_cutting import money_faults, sheet_cut_faults, timber_cut_faults, waste_faults
from oracle_facts import Facts
from oracle_frame import (
    bay_faults,
    joist_faults,
    member_faults,
    opening_faults,
    plate_faults,
    row_faults,
    standing_faults,
)
from oracle_hung import cleat_faults, double_faults, fixing_faults, plywood_faults, serving_faults
from oracle_services import bore_faults, clearance_faults, hole_faults, moved_stud_faults

import wallcalc as wc

ALL = (
    lining_faults,
    joint_table_faults,
    member_faults,
    standing_faults,
    plate_faults,
    joist_faults,
    opening_faults,
    bay_faults,
    backing_faults,
    joint_rule_faults,
    row_faults,
    timber_cut_faults,
    sheet_cut_faults,
    money_faults,
    waste_faults,
    clearance_faults,
    hole_faults,
    bore_faults,
    moved_stud_faults,
    fixing_faults,
    serving_faults,
    double_faults,
    plywood_faults,
    cleat_faults,
)

ON_A_SLOPE = {
    member_faults: oracle_uneven.shape_faults,
    standing_faults: oracle_uneven.standing_faults,
    plate_faults: oracle_uneven.plate_faults,
    opening_faults: oracle_uneven.opening_faults,
    row_faults: oracle_uneven.row_faults,
}
"""What takes another's place where floor or ceiling are uneven."""


def design_faults(design) -> list[str]:
    """Return every fault of a design, one sentence each."""
    facts = Facts(design)
    checks = ALL
    if facts.uneven:
        checks = (*(ON_A_SLOPE.get(check, check) for check in ALL), oracle_uneven.cut_faults)
    return [f"{check.__name__}: {fault}" for check in checks for fault in check(facts)]


def faults_of(found: wc.Design | wc.OptionError) -> list[str]:
    """Return what is wrong with a design, or with a refusal: a part of it left empty, or no reason at all."""
    if isinstance(found, wc.Design):
        return design_faults(found)
    bare = [
        f"refusal without its {name}: {refusal}"
        for refusal in found.refusals
        for name in ("rule", "place", "found", "nearest_change")
        if not getattr(refusal, name).strip()
    ]
    return bare if found.refusals else ["refused without a reason"]
