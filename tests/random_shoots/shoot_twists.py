"""Twists of the shoot: positions, people, passes, and what is asked for."""

from __future__ import annotations

from tests.random_shoots.draft import SIZES, Draft, Facts, new_role, sizes_there
from tests.random_shoots.gear_twists import Twist
from tests.small import at

# -- positions -------------------------------------------------------------------------------------


def overhead(draft: Draft) -> None:
    """A rail above people: bond, permission, a second person, somebody who may rig."""
    facts: Facts = {"stands_on": "rail", "is_overhead": True, "lens_height_m": 0.1}
    permission = {"state": "given", "by": draft.chance.choice(("the house", "the house", ""))}
    draft.some(draft.positions).update(facts, floor_height_m=4, permission=permission)
    clamp: Facts = {"id": "clamp", "stands_on": ("rail",), "height_min_m": 0}
    draft.kind("support").append(clamp | {"setup_min": 12, "strike_min": 6})
    draft.crew[-1]["skills"] = draft.chance.choice((("rigging",), ("rigging",), ()))
    if draft.maybe(0.7):
        draft.accessories.append(("bond", None))


def permissions(draft: Draft) -> None:
    """A position that nobody has given permission for yet."""
    states = draft.chance.choice(("asked", "given"))
    draft.some(draft.positions)["permission"] = {"state": states, "by": "the house"}


def closed(draft: Draft) -> None:
    """A position that is open in some pass only."""
    spot = draft.some(draft.positions)
    spot["open_in"] = (draft.some(draft.passes)["id"],)


def on_stage(draft: Draft) -> None:
    """A position on stage, where one of the crew may be."""
    draft.some(draft.positions)["is_on_stage"] = True
    draft.some(draft.crew)["may_be_on_stage"] = draft.maybe(0.7)


def only_people(draft: Draft) -> None:
    """A position for one of the crew."""
    draft.some(draft.positions)["only_people"] = (draft.some(draft.crew)["id"],)


def close_together(draft: Draft) -> None:
    """Positions side by side, so that views are alike."""
    x, y = draft.positions[0]["at_m"]
    for number, each in enumerate(draft.positions[1:], 1):
        each["at_m"] = (x + number * draft.chance.choice((1, 4, 8)), y)


def on_high(draft: Draft) -> None:
    """A gallery: steep views."""
    draft.some(draft.positions)["floor_height_m"] = draft.chance.choice((3, 6))


def shut_in(draft: Draft) -> None:
    """A position in the middle of the audience, and a performer among the crew."""
    draft.passes[-1]["has_audience"] = True
    draft.some(draft.positions)["is_shut_in_by_audience"] = True
    draft.some(draft.kind("body"))["battery_min"] = draft.chance.choice((20, 40, 400))
    performing(draft)


# -- people ----------------------------------------------------------------------------------------


def minding(draft: Draft) -> None:
    """Hardly anybody to look at locked-off cameras."""
    draft.crew = draft.crew[: draft.chance.choice((1, 2))]
    draft.rules["minds_per_operator"] = draft.chance.choice((0, 1))
    draft.rules["minds_per_floater"] = draft.chance.choice((0, 1))
    draft.rules["mind_reach_m"] = draft.chance.choice((0, 9, 15))


def no_crew(draft: Draft) -> None:
    """Nobody but one who minds."""
    draft.crew[0]["is_operator"] = False


def hours(draft: Draft) -> None:
    """Somebody who comes late or leaves early, or is not called for a pass."""
    facts = draft.some(draft.crew)
    if draft.maybe(0.5):
        facts["since"] = at(19)
    else:
        facts["until"] = at(20)


def not_called(draft: Draft) -> None:
    """A pass for some of the crew."""
    people = draft.chance.sample(draft.ids(draft.crew), draft.chance.randint(1, len(draft.crew)))
    draft.some(draft.passes)["people"] = tuple(people)


def performing(draft: Draft) -> None:
    """One of the crew is on stage in a song."""
    draft.some(draft.crew)["performs_in"] = (draft.some(draft.songs)["id"],)


def unskilled(draft: Draft) -> None:
    """One pair of hands, for one camera."""
    draft.crew = draft.crew[:1]


# -- passes ----------------------------------------------------------------------------------------


def short_gaps(draft: Draft) -> None:
    """Little time between passes, and supports that take long."""
    for each in draft.passes[:-1]:
        each["gap_after_min"] = draft.chance.choice((5, 5, 12, 25))
    draft.rules["stays_min"] = draft.chance.choice((0, 0, 4, 9))
    if draft.maybe(0.5):
        draft.some(draft.kind("support")).update(setup_min=20, strike_min=10)


def doors(draft: Draft) -> None:
    """An audience comes in early; work ends then, and people are there from then on."""
    draft.passes[-1].update(has_audience=True, doors=at(19, day=draft.passes[-1]["start"].day))


def not_run(draft: Draft) -> None:
    """Songs that a pass does not run, or stops."""
    others = draft.songs[1:] or draft.songs[:1]
    how = "not-run" if len(draft.songs) > 1 else "stopped"
    how = draft.chance.choice((how, "stopped"))
    draft.some(draft.passes)["songs"] = {draft.some(others)["id"]: how}


def undressed(draft: Draft) -> None:
    """Rehearsals to a click, out of costume."""
    for each in draft.passes[:-1]:
        each |= {"has_click": True, "is_in_costume": False}


def unlit(draft: Draft) -> None:
    """Rehearsals out of show light, or without anything that keeps the tempo."""
    light: Facts = {"has_click": True, "is_in_show_light": False}
    for each in draft.passes[:-1]:
        each |= draft.chance.choice((light, {"has_click": False}))


def master_first(draft: Draft) -> None:
    """The first pass is the one that the edit follows."""
    draft.passes[-1]["is_master"] = False
    draft.passes[0]["is_master"] = True


def audience(draft: Draft) -> None:
    """The audience is filmed, where there is one."""
    draft.passes[-1].setdefault("has_audience", draft.maybe(0.7))
    draft.subjects.append({"id": "audience", "kind": "audience", "at_m": (0, -4), "width_m": 4})
    facts = new_role(draft, "faces") | {"subject": "audience", "sizes": SIZES["audience"]}
    draft.roles.append(facts)


# -- what is asked for -----------------------------------------------------------------------------


def safety(draft: Draft) -> None:
    """A safety shot in every pass, the implied one or one of the shoot's own."""
    for each in draft.passes:
        each["needs_safety"] = True
    if draft.maybe(0.5):
        wide: Facts = {"subject": "stage", "sizes": ("WS", "EWS"), "is_safety": True}
        draft.roles.append(new_role(draft, "wide") | wide | {"passes": None, "priority": "must"})


def bound_safety(draft: Draft) -> None:
    """The safety shot in the hands of a performer, or of a body that is not on manual control."""
    safety(draft)
    performing(draft)
    if draft.maybe(0.5):
        draft.some(draft.kind("body"))["has_manual_control"] = False


def moments(draft: Draft) -> None:
    """Must moments in every song."""
    for number, each in enumerate(draft.songs):
        subject = draft.some(draft.subjects)
        size = draft.chance.choice(sizes_there(subject))
        moment: Facts = {"name": f"Moment {number}", "subject": subject["id"], "size": size}
        each["moments"] = (moment | {"at_s": 10, "priority": "must"},)


def moves(draft: Draft) -> None:
    """A track, and roles that want one."""
    draft.some(draft.kind("support"))["moves"] = ("track",)
    for each in draft.roles[:2]:
        each["moves"] = ("track",)


def many_roles(draft: Draft) -> None:
    """More roles than placements."""
    draft.roles += [new_role(draft, f"more-{number}") for number in range(2)]


def keeps(draft: Draft) -> None:
    """Locks to keep parts of a placement."""
    kind = draft.chance.choice(("body", "support"))
    pattern: Facts = {kind: draft.some(draft.kind(kind))["id"]}
    if draft.maybe(0.4):
        pattern["pass"] = draft.some(draft.passes)["id"]
    if draft.maybe(0.4):
        pattern["role"] = draft.some(draft.roles)["id"]
    draft.keep.append(pattern)


def nevers(draft: Draft) -> None:
    """Locks against parts of a placement."""
    parts = {
        "position": draft.some(draft.positions)["id"],
        "body": draft.some(draft.kind("body"))["id"],
        "support": draft.some(draft.kind("support"))["id"],
        "person": draft.some(draft.crew)["id"],
        "role": draft.some(draft.roles)["id"],
        "pass": draft.some(draft.passes)["id"],
    }
    for _ in range(2):
        names = draft.chance.sample(list(parts), draft.chance.choice((1, 2, 2)))
        draft.never.append({name: parts[name] for name in names})


def closest(draft: Draft) -> None:
    """A subject that may not be filmed closely; nobody asks for it."""
    subject = draft.subjects[0]
    subject["closest"] = draft.chance.choice(("MS", "FS"))
    allowed = sizes_there(subject)
    for each in draft.roles:
        if each["subject"] == subject["id"]:
            each["sizes"] = tuple(s for s in each["sizes"] if s in allowed) or allowed[:1]
    for each in draft.songs:
        for moment in each.get("moments", ()):
            if moment["subject"] == subject["id"] and moment["size"] not in allowed:
                moment["size"] = allowed[0]


def own_frames(draft: Draft) -> None:
    """Sizes of a subject with frames of their own, in metres."""
    if "closest" not in draft.subjects[0]:
        draft.subjects[0]["frames_m"] = {"MS": 1.0, "FS": 2.6}


def other_rules(draft: Draft) -> None:
    """Thresholds and points other than the usual ones."""
    chance = draft.chance
    choices: tuple[Facts, ...] = (
        {"menu_shots": chance.choice((0, 1))},
        {"pairs_per_subject": chance.choice((1, 2))},
        {"angle_deg": chance.choice((10, 60)), "size_factor": 1.4},
        {"points_locked": (9, 9), "points_operated": 5},
        {"grade_percent": (0, 0, 50, 90)},
        {"band_points": 0, "nice_points": 4},
        {"good_light_stops": 2.0, "fair_light_stops": 1.0},
    )
    draft.rules |= chance.choice(choices)


SHOOT_TWISTS: tuple[Twist, ...] = (
    overhead,
    permissions,
    closed,
    on_stage,
    only_people,
    close_together,
    on_high,
    shut_in,
    minding,
    no_crew,
    hours,
    not_called,
    performing,
    unskilled,
    short_gaps,
    doors,
    not_run,
    undressed,
    unlit,
    master_first,
    audience,
    safety,
    bound_safety,
    moments,
    moves,
    many_roles,
    keeps,
    nevers,
    closest,
    own_frames,
    other_rules,
)
