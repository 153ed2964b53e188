"""The line-up sheet: one page of settings that all cameras share, and what each is set to."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from kitplan.paper.layout import blocks, bullet, bullets, heading, joined, table_text
from kitplan.paper.marks import LEAST_ND_STOPS, iso_setting, speed
from kitplan.paper.names import Names, when
from kitplan.plan.records import Plan, Shot
from kitplan.whatif.line_up import (
    CameraLine,
    PassLineUp,
    Trial,
    WhiteBalance,
    line_ups,
    weakest_body,
)

ORDER = (
    "Clocks: all cameras and recorders to one clock, to the second; date as well.",
    "Settings: everything on this sheet on every camera; somebody else reads it back.",
    "Balance: all cameras at the same time on the same white card in the same light; then fixed.",
    "Same face, same card: 30 s on every camera in show light, side by side on one screen.",
    "Exposure: for the brightest state, then locked; the dimmest must still be usable.",
    "Focus: at the distance given, on a sharp edge, magnified; then locked where nobody operates.",
    "Sound: scratch sound on at every camera, its level fixed where the loudest song is safe.",
    "Clap at each roll in sight of all cameras, and once more before they stop.",
)
"""What is done in which order. Common practice."""
LOOKS = {
    "dimming": "LED at {hz:g} Hz on {who}: bands at {shutter}, full and dimmed; dimmed is worse.",
    "unknown dimming": "LED of unknown frequency on {who}: bands at {shutter}, full and dimmed.",
    "screen": "Screen or projector on {who}: bands and flicker at {shutter}.",
    "daylight": "Daylight on {who}: it moves; expose again in the gaps.",
    "range": "Stops from the dimmest to the brightest state (follow spot, blinders): {who}. Expose "
    "for the brightest and lock.",
    "colours": "Lamps of several colours: skin and the card in each of them.",
}
NEAREST_FRAMES = 0.05


def line_up_text(plan: Plan, pass_name: str | None = None) -> str:
    """Return the sheet, for each pass or for one.

    Raises:
        SettingError: If there is no pass of that name.
    """
    names = Names(plan)
    wanted = names.pass_ids(pass_name)
    passes = [each for each in line_ups(plan) if each.pass_id in wanted]
    return blocks(
        heading(f"Line-up: {plan.title}"),
        _common(names, passes),
        *(_pass_text(names, each) for each in passes),
        heading("In this order", "-"),
        "\n".join(bullet(words, f"{number}. ") for number, words in enumerate(ORDER, 1)),
    )


def line_up_records(plan: Plan, pass_name: str | None = None) -> dict[str, Any]:
    """Return the same as plain data.

    Raises:
        SettingError: If there is no pass of that name.
    """
    names = Names(plan)
    wanted = names.pass_ids(pass_name)
    weakest = weakest_body(plan)
    return {
        "shutter_s": plan.shutter_s,
        "weakest_body": weakest and weakest.body,
        "passes": [_records(names, each) for each in line_ups(plan) if each.pass_id in wanted],
        "order": list(ORDER),
    }


def _records(names: Names, each: PassLineUp) -> dict[str, Any]:
    shoot, _ = names.plan.pass_of(each.pass_id)
    heard = {one.letter: one for one in each.heard}
    return {
        "pass_id": each.pass_id,
        "frame_rate_fps": shoot.delivery.frame_rate_fps,
        "frame_width_px": shoot.delivery.frame_width_px,
        "frame_height_px": shoot.delivery.frame_height_px,
        "white_balance_k": each.balance and each.balance.kelvin,
        "lit_otherwise": [list(row) for row in each.balance.others] if each.balance else [],
        "master": each.master and each.master.id,
        "drift_frames": round(each.drift_frames, 2),
        "cameras": [
            {
                "letter": line.placement.letter,
                "body": line.placement.rig.body,
                "mode": line.mode.model_dump(),
                "focal_mm": line.placement.shot.focal_mm,
                "stop": line.placement.shot.stop,
                "iso": iso_range(line.placement.shot),
                "nd_stops": line.placement.shot.nd_stops,
                "focus_m": line.placement.shot.focus_m,
                "near_m": line.placement.shot.near_m,
                "far_m": line.placement.shot.far_m,
                "is_steadied": line.is_steadied,
                "distance_m": round(heard[line.placement.letter].distance_m, 2),
                "late_frames": round(heard[line.placement.letter].late_frames, 2),
            }
            for line in each.cameras
        ],
        "look_at": look_words(names, each),
    }


# -- the same on all cameras -----------------------------------------------------------------------


def _common(names: Names, passes: list[PassLineUp]) -> str:
    return table_text(("on all cameras", "set to"), common_rows(names, passes))


def common_rows(names: Names, passes: Sequence[PassLineUp]) -> list[tuple[str, str]]:
    """Return what is set alike on all cameras, as label and words."""
    plan = names.plan
    deliveries = {plan.pass_of(each.pass_id)[0].delivery for each in passes}
    rates = joined([f"{rate:g}" for rate in sorted({one.frame_rate_fps for one in deliveries})])
    sizes = {(one.frame_width_px, one.frame_height_px) for one in deliveries}
    shown = joined([f"{wide} x {high}" for wide, high in sorted(sizes)])
    weakest = weakest_body(plan)
    body = plan.kit.items_by_id[weakest.body].name if weakest else "weakest camera"
    rows = [
        ("Frame rate", f"{rates} frames a second, exactly, on every camera"),
        ("Frame size", f"{shown}; where a camera records larger, see its row"),
        ("Shutter", f"{speed(plan.shutter_s)}: {plan.shutter_words}"),
        ("White balance", joined([balance_words(names, each) for each in passes])),
        (
            "Look",
            f"the plain standard look of the {body}, the weakest here; the others as near to it as "
            f"their menus allow; sharpness and contrast down; no log unless all have it",
        ),
        ("Automatic", "all off: exposure, ISO, gain, white balance, picture styles, face priority"),
        ("Stabiliser", "off on sticks, arms and clamps; on only where the row says so"),
        ("Scratch sound", "on, on every camera"),
    ]
    if weakest and weakest.is_automatic:
        rows.append(("Beware", f"the {body} has no manual control: frame it so that light is even"))
    return rows


def balance_words(names: Names, each: PassLineUp) -> str:
    """Return the white balance of a pass: 'Show: 3200 K fixed (tungsten)'."""
    label = names.pass_label(each.pass_id)
    if each.balance is None:
        return f"{label}: on a card"
    return f"{label}: {each.balance.kelvin} K fixed ({each.balance.lamp})"


def balances_words(names: Names, passes: Sequence[PassLineUp]) -> str:
    """Return the white balance of several passes, once where they share it."""
    lined = [each for each in passes if each.cameras]
    kelvins = {each.balance.kelvin if each.balance else None for each in lined}
    if len(lined) > 1 and len(kelvins) == 1 and None not in kelvins:
        return f"{kelvins.pop()} K fixed in every pass"
    return joined([balance_words(names, each) for each in lined])


# -- each pass -------------------------------------------------------------------------------------


def _pass_text(names: Names, each: PassLineUp) -> str:
    shoot, run = names.plan.pass_of(each.pass_id)
    title = heading(f"{names.pass_label(each.pass_id)}: {when(shoot, run)}", "-")
    if not each.cameras:
        return blocks(title, "No camera stands in this pass.")
    return blocks(
        title,
        table_text(
            ("cam", "body", "focal", "stop", "ISO", "ND", "focus", "stabiliser"),
            [_picture_row(names, line) for line in each.cameras],
        ),
        table_text(
            ("cam", "mode", "records", "bit rate", "from stage", "hears it"),
            [_sound_row(each, line) for line in each.cameras],
        ),
        bullets(sync_words(names, each)),
        _looks(names, each),
    )


def _picture_row(names: Names, line: CameraLine) -> tuple[str, ...]:
    shot = line.placement.shot
    focal = f"{shot.focal_mm:.0f}" if shot.focal_mm >= 20 else f"{shot.focal_mm:.3g}"
    far = "far" if shot.far_m is None else f"{shot.far_m:.1f}"
    isos = iso_range(shot)
    nd = f"{shot.nd_stops:.1f} stops" if shot.nd_stops >= LEAST_ND_STOPS else "none"
    return (
        line.placement.letter,
        names.unit(line.placement.rig.body),
        f"{focal} mm",
        f"f/{shot.stop:.2g}",
        f"{isos[0]} to {isos[1]}" if isos[0] < isos[1] else f"{isos[1]}",
        nd,
        f"{shot.focus_m:.1f} m ({shot.near_m:.1f} to {far})",
        "on" if line.is_steadied else "off",
    )


def iso_range(shot: Shot) -> tuple[int, int]:
    """Return the ISO settings for the brightest and the dimmest light."""
    dim = iso_setting(shot.iso)
    return min(iso_setting(shot.iso_bright * 2**shot.nd_stops), dim), dim


def _sound_row(each: PassLineUp, line: CameraLine) -> tuple[str, ...]:
    heard = next(one for one in each.heard if one.letter == line.placement.letter)
    return (
        line.placement.letter,
        line.mode.name,
        f"{line.mode.frame_width_px} x {line.mode.frame_height_px}",
        f"{line.mode.bit_rate_mbps:g} Mb/s",
        f"{heard.distance_m:.1f} m",
        late_words(heard.late_frames),
    )


def late_words(frames: float) -> str:
    """Return how late a camera hears the stage: '0.5 frames late'."""
    if abs(frames) < NEAREST_FRAMES:
        return "with the master"
    return f"{abs(frames):.1f} frames {'late' if frames > 0 else 'early'}"


def sync_words(names: Names, each: PassLineUp) -> list[str]:
    """Return how the sound of the cameras is kept in step in a pass."""
    shoot, _ = names.plan.pass_of(each.pass_id)
    rules = shoot.rules
    master = f"the master ({each.master.label}, {each.master.at})" if each.master else "the stage"
    lines = [
        f"Sound travels from the middle of the stage's front edge at {rules.air_c:g} degrees; "
        f"frames are against {master}: scratch sound moves by so much.",
        f"Two recorders may run {each.drift_frames:.1f} frames apart over the pass (clocks off by "
        f"{rules.clock_ppm:g} parts in a million): clap at each roll and again at the end; after a "
        f"restart the clap counts anew.",
    ]
    if each.master is None:
        lines.append("No sound setup is listed: the best scratch sound is all there is.")
    return lines


def _looks(names: Names, each: PassLineUp) -> str:
    words = look_words(names, each)
    if not words:
        return ""
    return f"Look at in the real light, on every camera\n{bullets(words)}"


def look_words(names: Names, each: PassLineUp) -> list[str]:
    """Return what to look at in the light of a pass, one sentence for each thing."""
    by_what: dict[tuple[str, float | None], list[Trial]] = {}
    for trial in each.trials:
        by_what.setdefault((trial.what, trial.pwm_hz), []).append(trial)
    words = [
        LOOKS[what].format(
            who=joined([_who(names, each, trial) for trial in trials]),
            hz=hz or 0.0,
            shutter=speed(names.plan.shutter_s),
        )
        for (what, hz), trials in by_what.items()
    ]
    if each.balance is not None and each.balance.others:
        words.append(_otherwise(each.balance))
    return words


def _who(names: Names, each: PassLineUp, trial: Trial) -> str:
    shoot, _ = names.plan.pass_of(each.pass_id)
    labels = [shoot.subjects_by_id[one].label for one in trial.subjects]
    who = ", ".join(labels) or "the rest of the stage"
    return f"{who} ({trial.stops:.1f})" if trial.what == "range" else who


def _otherwise(balance: WhiteBalance) -> str:
    parts = [f"{letter} ({lamp}, {kelvin} K)" for letter, lamp, kelvin in balance.others]
    return (
        f"Cameras whose subject is lit otherwise than {balance.kelvin} K: {joined(parts)}; they "
        f"stay at {balance.kelvin} K and are matched in the edit."
    )
