"""Everything that has to hold of every design, in one list."""

from __future__ import annotations

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
from oracle_hung import double_faults, fixing_faults, plywood_faults, serving_faults
from oracle_services import bore_faults, clearance_faults, hole_faults, moved_stud_faults

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
)


def design_faults(design) -> list[str]:
    """Return every fault of a design, one sentence each."""
    facts = Facts(design)
    return [f"{check.__name__}: {fault}" for check in ALL for fault in check(facts)]
