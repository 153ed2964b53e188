"""What each recorder of a pass runs on, how long that lasts, and what its picture is worth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from kitplan.day.rolls.hands import Crew, Hand
from kitplan.day.rolls.starts import Start, starts
from kitplan.day.rolls.timeline import Stretch, stretches, whole_down
from kitplan.gear.records import Body, Media, RecordingMode
from kitplan.options.endurance import card_minutes, is_on_mains
from kitplan.plan.day.shots import ShotSheet
from kitplan.plan.records import Placement
from kitplan.shoot.brief import THIRDS, Brief
from kitplan.shoot.records import Pass


@dataclass(frozen=True)
class Supply:
    """A battery or card, and how long it lasts; None lasts for ever."""

    unit: str | None
    life_s: int | None


@dataclass(frozen=True)
class Recorder:
    """A camera of a pass as the roll plan sees it."""

    placement: Placement
    body: Body
    start: Start
    clip_s: int | None
    """None where it never stops by itself."""
    heat_s: int | None
    batteries: tuple[Supply, ...]
    """Those that last longest first."""
    cards: tuple[Supply, ...]
    is_safety: bool
    weights: tuple[tuple[int, ...], ...]
    """What a second without it costs, by song and slice; 0 where its shot is of no use."""
    hands: tuple[Hand, ...]

    @property
    def letter(self) -> str:
        """Its camera letter."""
        return self.placement.letter

    @property
    def own(self) -> Hand | None:
        """The hand of its own operator."""
        return next((hand for hand in self.hands if hand.is_own), None)

    def is_wanted(self, song: int) -> bool:
        """Whether it counts that it rolls in a song."""
        return self.is_safety or any(self.weights[song])

    def lasts_s(self) -> int | None:
        """Seconds from the start that it rolls if nobody touches it; None for ever."""
        limits = (self.clip_s, self.heat_s, self.batteries[0].life_s, self.cards[0].life_s)
        return min((limit for limit in limits if limit is not None), default=None)

    def can_be_renewed(self) -> bool:
        """Whether a touch can make it roll longer."""
        by_hand = self.clip_s is not None or self.heat_s is not None
        return bool(self.hands) and (by_hand or len(self.batteries) > 1 or len(self.cards) > 1)


@dataclass(frozen=True)
class PassDay:
    """A pass with its clock and its recorders."""

    brief: Brief
    each: Pass
    pass_id: str
    songs: tuple[Stretch, ...]
    recorders: tuple[Recorder, ...]

    @property
    def end_s(self) -> int:
        """When its last song is over."""
        return self.songs[-1].end_s if self.songs else 0

    def worth(self, song: int) -> int:
        """What the pass gives the edit of a song, in thirds of it."""
        return THIRDS[self.brief.worth(self.each, self.songs[song].song)]

    def needs_touch(self, recorder: Recorder) -> bool:
        """Whether a recorder stops before its last song is over unless somebody touches it, and
        can be touched.
        """
        lasts_s = recorder.lasts_s()
        ends = [s.end_s for n, s in enumerate(self.songs) if recorder.is_wanted(n)]
        is_short = lasts_s is not None and recorder.start.roll_s + lasts_s < max(ends, default=0)
        return is_short and lasts_s != 0 and recorder.can_be_renewed()


def pass_day(
    brief: Brief,
    each: Pass,
    pass_id: str,
    placements: Sequence[Placement],
    sheets: Sequence[ShotSheet] = (),
) -> PassDay:
    """Return a pass of a plan with its clock and its recorders, by letter."""
    mine = tuple(sorted((p for p in placements if p.pass_id == pass_id), key=lambda p: p.letter))
    crew = Crew(brief, each, mine)
    songs = stretches(brief.shoot, each)
    begun = starts(crew)
    by_letter = {sheet.letter: sheet for sheet in sheets if sheet.pass_id == pass_id}
    recorders = tuple(
        _recorder(crew, songs, begun[p.letter], p, by_letter.get(p.letter)) for p in mine
    )
    return PassDay(brief, each, pass_id, songs, recorders)


def with_supplies(
    day: PassDay, letter: str, *, batteries: Sequence[Supply] = (), cards: Sequence[Supply] = ()
) -> PassDay:
    """Return the pass with more batteries or cards for one recorder."""
    return replace(
        day,
        recorders=tuple(
            replace(
                r,
                batteries=_longest_first((*r.batteries, *batteries)),
                cards=_longest_first((*r.cards, *cards)),
            )
            if r.letter == letter
            else r
            for r in day.recorders
        ),
    )


def _recorder(
    crew: Crew,
    songs: tuple[Stretch, ...],
    start: Start,
    placement: Placement,
    sheet: ShotSheet | None,
) -> Recorder:
    brief = crew.brief
    body, mode = body_and_mode(brief, placement)
    stops = mode.clip_limit_min is not None and mode.at_limit == "stops"
    safety = {role.id for role in brief.roles if role.is_safety}
    return Recorder(
        placement=placement,
        body=body,
        start=start,
        clip_s=whole_down((mode.clip_limit_min or 0) * 60) if stops else None,
        heat_s=None if body.heat_limit_min is None else whole_down(body.heat_limit_min * 60),
        batteries=batteries_of(crew, placement, body),
        cards=cards_of(brief, placement.cards, mode),
        is_safety=crew.each.needs_safety and bool(safety & set(placement.roles)),
        weights=_weights(crew, songs, placement, sheet),
        hands=crew.hands(placement),
    )


def body_and_mode(brief: Brief, placement: Placement) -> tuple[Body, RecordingMode]:
    """Return the body of a placement and the mode that it records in."""
    unit = next(u for u in brief.kit.units if u.id == placement.rig.body)
    body = brief.kit.items_by_id[unit.item]
    assert isinstance(body, Body)
    return body, next(mode for mode in body.modes if mode.name == placement.rig.mode)


def batteries_of(crew: Crew, placement: Placement, body: Body) -> tuple[Supply, ...]:
    """Return the batteries of a placement, those that last longest first; mains last for ever."""
    if is_on_mains(body, crew.position(placement)) or body.battery_min is None:
        return (Supply(None, None),)
    rules = crew.brief.shoot.rules
    share = rules.battery_measured if body.is_measured("battery_min") else rules.battery_assumed
    health = {unit.id: unit.health for unit in crew.brief.kit.units}
    found = [
        Supply(unit, whole_down(body.battery_min * 60 * share * health[unit]))
        for unit in placement.batteries
    ]
    return _longest_first(found) or (Supply(None, 0),)


def cards_of(brief: Brief, units: Sequence[str], mode: RecordingMode) -> tuple[Supply, ...]:
    """Return cards with how long they last in a mode, the longest first."""
    items = {unit.id: brief.kit.items_by_id[unit.item] for unit in brief.kit.units}
    fill = brief.shoot.rules.card_fill
    found = []
    for unit in units:
        card = items[unit]
        assert isinstance(card, Media)
        minutes = card_minutes(card.capacity_gb, mode.bit_rate_mbps, fill)
        found.append(Supply(unit, whole_down(minutes * 60)))
    return _longest_first(found) or (Supply(None, 0),)


def _longest_first(supplies: Sequence[Supply]) -> tuple[Supply, ...]:
    return tuple(sorted(supplies, key=lambda s: (-(s.life_s or 0), s.unit or "")))


def _weights(
    crew: Crew, songs: tuple[Stretch, ...], placement: Placement, sheet: ShotSheet | None
) -> tuple[tuple[int, ...], ...]:
    factor = crew.brief.shoot.rules.moment_factor
    found = []
    for stretch in songs:
        subjects = framed_in(crew, placement, sheet, stretch.song.id)
        worth = THIRDS[crew.brief.worth(crew.each, stretch.song)] if subjects else 0
        found.append(
            tuple(worth * (factor if subjects & each.subjects else 1) for each in stretch.slices)
        )
    return tuple(found)


def framed_in(
    crew: Crew, placement: Placement, sheet: ShotSheet | None, song: str
) -> frozenset[str]:
    """Return the subjects that a placement frames in a song; nothing where its shot is of no use:
    grade 0, missed in a pass that is over, nobody frames because the operator performs, or no row
    of the shot sheet.
    """
    brief, past = crew.brief, crew.brief.shoot.past
    stood = past.stood_with(crew.each.id, placement.rig.body)
    if placement.shot.grade < 1 or (stood is not None and song in stood.missed):
        return frozenset()
    if placement.operator is None:
        return frozenset({placement.shot.subject})
    if song in brief.shoot.crew_by_id[placement.operator].performs_in:
        return frozenset()
    if sheet is not None:
        rows = [row for row in sheet.songs if row.song == song]
        return frozenset(
            shot.subject for row in rows for shot in (row.shot, *(cue.shot for cue in row.cues))
        )
    return frozenset({placement.shot.subject, *(shot.subject for shot in placement.menu)})
