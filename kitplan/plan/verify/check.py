"""The check of a whole plan: every rule, every figure, every claim."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import chain
from math import isclose

from kitplan.plan.records import Plan
from kitplan.plan.verify.between import battery_faults, reset_faults
from kitplan.plan.verify.claims import Part, claim_findings
from kitplan.plan.verify.counting import alike_pairs
from kitplan.plan.verify.crowding import glimpse_of
from kitplan.plan.verify.day import day_findings
from kitplan.plan.verify.figures import SHARE, figure_faults
from kitplan.plan.verify.findings import Finding
from kitplan.plan.verify.goals import has_got
from kitplan.plan.verify.handed import cards_used_again, letter_findings, unit_findings
from kitplan.plan.verify.marks import grade_of, seen
from kitplan.plan.verify.over import past_findings
from kitplan.plan.verify.resolve import Placed, resolve, stray_placements
from kitplan.plan.verify.scene import Scene
from kitplan.plan.verify.single import menu_faults, role_faults, setup_faults
from kitplan.plan.verify.within import pass_faults


def verify(plan: Plan) -> tuple[Finding, ...]:
    """Return everything in a plan that does not hold; nothing where all of it does.

    Needs no other file: kit and shoots are those that the plan carries. Never raises.
    """
    findings = list(stray_placements(plan))
    parts = []
    for shoot_id, shoot in plan.shoots.items():
        scene = Scene(shoot, plan.kit)
        parts.append(Part(shoot_id, scene, resolve(plan, shoot_id, scene, findings)))
    for part in parts:
        findings.extend(_part_findings(part))
    cards = [(part.scene.day_of(one.setup.each), one) for part in parts for one in part.placed]
    findings.extend(cards_used_again(cards))
    findings.extend(
        letter_findings(
            [(part.scene, part.placed) for part in parts], keeps_letters=plan.keeps_letters
        )
    )
    findings.extend(claim_findings(plan, parts))
    findings.extend(day_findings(plan, {part.shoot_id: part.scene for part in parts}))
    return tuple(dict.fromkeys(findings))


def _part_findings(part: Part) -> Iterator[Finding]:
    scene = part.scene
    for one in part.placed:
        faults = chain(
            setup_faults(scene, one.setup),
            menu_faults(scene, one.setup),
            role_faults(scene, one.setup),
            figure_faults(scene, one.setup, one.placement.shot),
        )
        yield from (fault.at(one.where) for fault in faults)
    for each in scene.shoot.passes:
        setups = [setup for setup in part.setups if setup.each.id == each.id]
        yield from (fault.at(each.id) for fault in pass_faults(scene, each, setups))
    for fault in chain(battery_faults(scene, part.setups), reset_faults(scene, part.setups)):
        yield fault.at("between passes")
    yield from past_findings(scene, part.placed)
    yield from unit_findings(scene, part.placed)
    yield from _in_picture_findings(scene, part.placed)
    yield from _counted_findings(scene, part.placed)


def _in_picture_findings(scene: Scene, placed: Sequence[Placed]) -> Iterator[Finding]:
    """Every placement lists the others in its main shot, with the height of frame they take."""
    for one in placed:
        view = seen(scene, one.setup)
        if view is None:
            continue  # there is no such shot, which the rules of the placement say
        stated = sorted((row.letter, row.height_share) for row in one.placement.in_picture)
        derived = sorted(
            (other.placement.letter, glimpse.height)
            for other in placed
            if other.setup.each.id == one.setup.each.id
            and (glimpse := glimpse_of(scene, view, other.setup)).level
        )
        if not _are_same_shares(stated, derived):
            wrong, right = (
                ", ".join(f"{letter} {share:.4f}" for letter, share in rows) or "nobody"
                for rows in (stated, derived)
            )
            yield Finding("in-picture", one.where, f"it lists {wrong}", f"In its picture: {right}")


def _are_same_shares(
    stated: Sequence[tuple[str, float]], derived: Sequence[tuple[str, float]]
) -> bool:
    return [letter for letter, _ in stated] == [letter for letter, _ in derived] and all(
        isclose(share, right, rel_tol=0, abs_tol=SHARE)
        for (_, share), (_, right) in zip(stated, derived, strict=True)
    )


def _counted_findings(scene: Scene, placed: Sequence[Placed]) -> Iterator[Finding]:
    """Counted viewpoints have a grade, and no two of them are alike."""
    counted = [one for one in placed if one.setup.is_counted]
    for one in counted:
        if grade_of(scene, one.setup) < 1:
            wrong = "a shot of grade 0 is counted as a viewpoint"
            yield Finding("counted-grade", one.where, wrong, "Count those of grade 1 or more")
        if not has_got(scene, one.setup):
            wrong = "a camera that got nothing is counted as a viewpoint"
            yield Finding("counted-got", one.where, wrong, "Count those that got a song")
    for first, second in alike_pairs(scene, [one.setup for one in counted]):
        wrong = f"it is counted and alike to {counted[first].where}"
        yield Finding("alike", counted[second].where, wrong, "Count one of the two")
