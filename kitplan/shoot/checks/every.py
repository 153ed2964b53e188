"""Every check of a shoot, and of a shoot with its kit: one function for each.

Each check yields faults: a place in the shoot file, what is wrong, what would be right. The tuples
are the table of contents; their order carries no meaning. What holds inside one record is checked
by the record itself, what holds across a kit by `gear.checks`.
"""

from __future__ import annotations

from kitplan.errors import Problem
from kitplan.shoot.brief import Brief
from kitplan.shoot.checks import asked, clock, equipment, ground, heard, locks, names
from kitplan.shoot.checks.fault import BriefCheck, Fault, ShootCheck
from kitplan.shoot.records import Shoot
from kitplan.wording import LineOf

__all__ = ["problems", "shoot_problems"]

SHOOT_CHECKS: tuple[ShootCheck, ...] = (
    names.repeated_ids,
    names.unknown_names,
    names.unknown_floors,
    names.circular_groups,
    names.empty_lists,
    names.written_past,
    names.written_no_goods,
    asked.wrong_role_sizes,
    asked.wrong_moment_sizes,
    asked.wrong_closest,
    asked.wrong_frames,
    asked.late_moments,
    asked.missing_light,
    asked.missing_safety,
    asked.wrong_safety,
    clock.unknown_zone,
    clock.mixed_offsets,
    clock.doors_without_audience,
    clock.second_masters,
    clock.silent_passes,
    clock.short_passes,
    locks.unknown_parts,
    locks.split_people,
    locks.forbidden_keeps,
    locks.closed_keeps,
    ground.wrong_outlines,
    ground.subjects_in_obstacles,
    ground.subjects_under_stage,
    ground.audience_in_stage,
    ground.lamps_in_lenses,
    ground.positions_in_obstacles,
    ground.positions_under_stage,
    ground.cameras_in_subjects,
    ground.parks_outside_arcs,
    heard.wrong_setup_ids,
)
TIMED_CHECKS: tuple[ShootCheck, ...] = (
    clock.disordered_passes,
    clock.absent_people,
    locks.idle_people,
)
"""These compare times of different records, which only times of one kind can be."""
KIT_CHECKS: tuple[BriefCheck, ...] = (
    locks.unknown_gear,
    equipment.no_camera,
    equipment.wrong_delivery,
    equipment.no_shutter,
    equipment.unsupported_positions,
    heard.unknown_sound,
    heard.too_many_sources,
)


def problems(brief: Brief, line_of: LineOf, file: str) -> list[Problem]:
    """Return everything that does not hold in a shoot and between it and its kit.

    Args:
        line_of: Gives the 1-based line of a place in the shoot file.
        file: Name of the shoot file for messages.
    """
    faults = [*_shoot_faults(brief.shoot), *(f for check in KIT_CHECKS for f in check(brief))]
    return _located(faults, line_of, file)


def shoot_problems(shoot: Shoot, line_of: LineOf, file: str) -> list[Problem]:
    """Return everything that does not hold in a shoot, whatever its kit; see `problems`."""
    return _located(_shoot_faults(shoot), line_of, file)


def _shoot_faults(shoot: Shoot) -> list[Fault]:
    faults = [fault for check in SHOOT_CHECKS for fault in check(shoot)]
    if not any(clock.mixed_offsets(shoot)):
        faults += [fault for check in TIMED_CHECKS for fault in check(shoot)]
    return faults


def _located(faults: list[Fault], line_of: LineOf, file: str) -> list[Problem]:
    return [Problem(file, line_of(place), wrong, right) for place, wrong, right in faults]
