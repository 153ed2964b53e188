"""The rules with their defaults from shared/rules.yaml; a shoot changes any of them."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import AfterValidator, ConfigDict, Field, model_validator

from kitplan.gear.records import Count, NotNegative, Positive, Record
from kitplan.tables import table

Share = Annotated[float, Field(gt=0, le=1)]
Portion = Annotated[float, Field(ge=0, le=1)]
Performance = Literal["concert", "theatre", "dance", "worship", "school"]
Angle = Annotated[float, Field(ge=0, le=180)]
ShotCount = Annotated[int, Field(ge=1, le=10_000)]


def _rising(interval: tuple[int, int]) -> tuple[int, int]:
    """Reads as 'from ... to ...'."""
    if interval[0] > interval[1]:
        raise ValueError(
            f"{interval[0]} to {interval[1]} is no interval; write the smaller number first"
        )
    return interval


def _optional_in_schema(schema: dict[str, Any]) -> None:
    """Tell a JSON Schema what `_defaults` does: every rule may be left out."""
    schema.pop("required", None)
    for name, default in table("rules").items():
        schema["properties"][name]["default"] = default


class Rules(Record):
    """All thresholds and weights. Meaning and source of each stand in shared/rules.yaml."""

    model_config = ConfigDict(json_schema_extra=_optional_in_schema)

    angle_deg: Angle
    size_factor: Annotated[float, Field(ge=1, le=100)]
    clear_angle_deg: Angle
    clear_angle_with_size_deg: Angle
    clear_size_factor: Annotated[float, Field(ge=1, le=100)]
    t_stop_loss_stops: NotNegative
    light_headroom_stops: NotNegative
    most_stop: Positive
    good_light_stops: NotNegative
    fair_light_stops: NotNegative
    heads_standing_m: Positive
    heads_seated_m: Positive
    heads_arms_up_m: Positive
    hidden_full: Portion
    hidden_fair: Portion
    hidden_most: Portion
    still_roam_m: NotNegative
    seat_m: NotNegative
    seats_dark_stops: NotNegative
    seats_soft_share: NotNegative
    seats_share_soft: Portion
    seats_share_plain: Portion
    wings_share: Portion
    consent_wide_m: NotNegative
    rig_least_share: Portion
    rig_noted_share: Portion
    rig_refused_share: dict[Performance, Portion]
    steady_locked: Positive
    steady_operated: Positive
    stabiliser_hand_stops: NotNegative
    stabiliser_floor_stops: NotNegative
    roll_factor: Annotated[float, Field(ge=1, le=4)]
    roll_extra_min: NotNegative
    card_fill: Share
    card_speed_factor: Annotated[float, Field(ge=1, le=10)]
    battery_measured: Share
    battery_assumed: Share
    restart_s: NotNegative
    card_swap_s: NotNegative
    battery_swap_s: NotNegative
    payload_share: Share
    height_slack_m: NotNegative
    tall_m: Positive
    minds_per_operator: Count
    mind_reach_m: NotNegative
    minds_per_floater: Count
    narrow_deg: NotNegative
    menu_shots: Count
    reset_slack: Annotated[float, Field(ge=0, lt=1)]
    stays_min: NotNegative
    points_operated: Count
    points_locked: tuple[Count, ...]
    grade_percent: tuple[Count, Count, Count, Count]
    pairs_per_subject: Count
    band_points: Count
    nice_points: Count
    reset_points: Count
    kg_points: Count
    lens_change_points: Count
    insert_frames: NotNegative
    tempo_difference: NotNegative
    fine_insert_share: Share
    average_shot_s: Positive
    speciality_most: Count
    safety_every_shots: Annotated[tuple[ShotCount, ShotCount], AfterValidator(_rising)]
    # shot sheets
    zone_exceptions: Count
    recompose_s: Positive
    # restarts
    stopped_at_once: Annotated[int, Field(ge=1, le=100)]
    roll_early_s: NotNegative
    roll_late_s: NotNegative
    reserve_s: NotNegative
    cool_s: Positive
    stop_step_s: Annotated[float, Field(ge=1, le=3600)]
    moment_factor: Annotated[int, Field(ge=1, le=100)]
    off_stage_s: NotNegative
    blocked_door_s: Positive
    # work between passes
    walk_m_per_min: Positive
    dark_factor: Annotated[float, Field(ge=1, le=10)]
    first_time_factor: Annotated[float, Field(ge=1, le=10)]
    work_step_min: Positive
    wrap_min: NotNegative
    check_min: NotNegative
    pocket_kg: NotNegative
    climb_min_per_m: NotNegative
    cart_rise_m: NotNegative
    # power and media
    charge_quick_share: Annotated[float, Field(ge=0.01, le=0.99)]
    charge_quick_time: Annotated[float, Field(ge=0.01, le=0.99)]
    spare_share: Portion
    hands_from_h: Annotated[int, Field(ge=0, le=23)]
    hands_until_h: Annotated[int, Field(ge=0, le=23)]
    copy_hand_s: NotNegative
    format_s: NotNegative
    # sound
    level_check_min: NotNegative
    # cases
    lift_kg: Positive
    lift_two_share: Annotated[float, Field(ge=0.5, le=1)]
    wrap_factor: Annotated[float, Field(ge=1, le=10)]
    outside_factor: Annotated[float, Field(ge=1, le=10)]
    # line-up
    air_c: Annotated[float, Field(ge=-60, le=60)]
    clock_ppm: Annotated[float, Field(ge=0, le=10_000)]

    @model_validator(mode="before")
    @classmethod
    def _defaults(cls, given: Any) -> Any:
        if not isinstance(given, dict):
            return given
        usual = table("rules")
        merged = {**usual, **given}
        if isinstance(given.get("rig_refused_share"), dict):  # one kind may be changed alone
            merged["rig_refused_share"] = {
                **usual["rig_refused_share"],
                **given["rig_refused_share"],
            }
        return merged

    @model_validator(mode="after")
    def _rising_shares(self) -> Rules:
        if not self.hidden_full <= self.hidden_fair <= self.hidden_most:
            raise ValueError(
                "hidden_full, hidden_fair and hidden_most do not rise, but fewer marks are for "
                "more that is hidden; list them from low to high"
            )
        if self.seats_share_plain > self.seats_share_soft:
            raise ValueError(
                f"seats_share_plain {self.seats_share_plain:g} is above seats_share_soft "
                f"{self.seats_share_soft:g}, but dark and soft seats may take more; swap them"
            )
        return self

    @model_validator(mode="after")
    def _quick_then_slow(self) -> Rules:
        if self.charge_quick_time > self.charge_quick_share:
            raise ValueError(
                f"charge_quick_time {self.charge_quick_time:g} is above charge_quick_share "
                f"{self.charge_quick_share:g}, but a charger slows down towards the end; swap them"
            )
        return self

    @model_validator(mode="after")
    def _falling_points(self) -> Rules:
        if list(self.points_locked) != sorted(self.points_locked, reverse=True):
            raise ValueError(
                "points_locked rises, but the first locked-off viewpoint is worth most; "
                "list the points from high to low"
            )
        if list(self.grade_percent) != sorted(self.grade_percent) or self.grade_percent[0] != 0:
            raise ValueError(
                "grade_percent does not rise from 0, but a better shot is never worth less; "
                "write four percentages such as [0, 30, 60, 100]"
            )
        return self


def default_rules() -> Rules:
    """Return the rules as shared/rules.yaml has them."""
    return Rules.model_validate({})
