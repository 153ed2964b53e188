"""Tiny plans for the parts of the day: placements written by hand, no search for them.

Rules are round: a touch takes 10 s, a card 20 s, a battery 30 s; recorders roll 10 s early; people
walk a metre a second; minutes of batteries and cards are planned on in full.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from kitplan.gear.kit import Kit
from kitplan.gear.records import Body, Media
from kitplan.plan.records import Day, MadeWith, Placement, Plan, Rig, Shot, Worth
from kitplan.plan.verify.scene import Scene
from kitplan.shoot.records import Shoot
from tests.small import body, card, show, small_kit, small_shoot, song, unit

SHOOT_ID = "small"
SHOW = f"{SHOOT_ID}/show"
ROUND: dict[str, Any] = {
    "restart_s": 10,
    "card_swap_s": 20,
    "battery_swap_s": 30,
    "blocked_door_s": 40,
    "reserve_s": 10,
    "cool_s": 40,
    "roll_early_s": 10,
    "roll_late_s": 10,
    "stop_step_s": 10,
    "off_stage_s": 60,
    "walk_m_per_min": 60,
    "battery_measured": 1,
    "battery_assumed": 1,
    "card_fill": 1,
}
BIT_RATE_MBPS = 80
"""10 MB/s: a card of 1 GB holds 100 s."""
FOR_EVER_S = 100_000


def cam(
    item: str, clip_s: float | None = None, battery_s: float = FOR_EVER_S, **facts: Any
) -> Body:
    """Return a body with a clip limit and minutes of battery given in seconds."""
    mode = {"bit_rate_mbps": BIT_RATE_MBPS, "at_limit": facts.pop("at_limit", "stops")}
    if clip_s is not None:
        mode["clip_limit_min"] = clip_s / 60
    return body(item, mode=mode, battery_min=battery_s / 60, **facts)


def card_of(seconds: float, item: str = "card") -> Media:
    """Return a card that lasts so long."""
    return card(item, capacity_gb=seconds / 100)


def kit_of(*bodies: Body, cards: Sequence[Media] = (), **facts: Any) -> Kit:
    """Return a kit of bodies (one unit each) with cells, cards and legs in plenty."""
    counts = {each.id: 1 for each in bodies} | {each.id: 9 for each in cards}
    return small_kit(*bodies, *(cards or (card_of(FOR_EVER_S),)), counts=counts, **facts)


def worn(seconds: Sequence[float], of_s: float) -> dict[str, Any]:
    """Return cells that last so many seconds each in a body that gives `of_s` with a new one."""
    cells = [unit("cell", n, health=s / of_s) for n, s in enumerate(seconds, start=1)]
    return {"units": cells}


def placed(letter: str, body_id: str, position: str = "front", **facts: Any) -> Placement:
    """Return a camera of the show; locked off unless an operator is given."""
    shot = Shot(
        subject=facts.pop("subject", "singer"), size="MS", distance_m=12, frame_height_m=0.9,
        focal_mm=120, view_deg=4, stop=2.8, iso=400, iso_bright=200, nd_stops=0, shutter_s=0.02,
        focus_m=12, near_m=11, far_m=13, grade=facts.pop("grade", 3), marks=18, band="tele",
    )  # fmt: skip
    rig = Rig(
        body=f"{body_id}-1", mode="HD", lens=None, adapter=None, head=None,
        support=f"legs-{'ABCDEFGH'.index(letter) + 1}",
    )  # fmt: skip
    given: dict[str, Any] = {
        "pass_id": SHOW, "position": position, "letter": letter, "rig": rig, "operator": None,
        "roles": (), "shot": shot, "menu": (), "is_counted": True, "batteries": ("cell-9",),
        "cards": ("card-9",), "accessories": (),
    }  # fmt: skip
    return Placement(**{**given, **facts})


def songs_of(*lengths_and_gaps: tuple[float, float], **facts: Any) -> tuple[Any, ...]:
    """Return songs s1, s2 ... with their gaps."""
    return tuple(
        song(f"s{n}", length_s=length, gap_s=gap, **facts)
        for n, (length, gap) in enumerate(lengths_and_gaps, start=1)
    )


def shoot_of(songs: Sequence[Any], rules: dict[str, Any] | None = None, **parts: Any) -> Shoot:
    """Return a shoot of one show with round rules."""
    given = {"songs": tuple(songs), "passes": (show(),), **parts}
    return small_shoot(rules={**ROUND, **(rules or {})}, **given)


def plan_of(
    shoot: Shoot, kit: Kit, placements: Sequence[Placement], day: Day | None = None
) -> Plan:
    """Return a plan of these placements that claims nothing else, every pass live in every song."""
    songs: dict[str, Worth] = {song.id: "live" for song in shoot.songs}
    made = MadeWith(
        kitplan="0", ortools="0", tables="", seconds=0, seed=1, workers=1
    )  # fmt: skip
    return Plan(
        title="Small", status="solved", shoots={SHOOT_ID: shoot}, kit=kit, made_with=made,
        shutter_s=0.02, shutter_words="", placements=tuple(placements), demands=(), goals=(),
        resets=(), worth={f"{SHOOT_ID}/{each.id}": songs for each in shoot.passes},
        left_out=(), day=day,
    )  # fmt: skip


def scenes_of(plan: Plan) -> dict[str, Scene]:
    """Return what the checker derives from the input of a plan."""
    return {shoot_id: Scene(shoot, plan.kit) for shoot_id, shoot in plan.shoots.items()}
