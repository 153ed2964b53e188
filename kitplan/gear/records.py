"""Records of items: models of things that are owned, and what each of them can do.

The units of them are in `kit`.
Every fact is either measured (its name stands in `measured`) or assumed. `measured` holds field
names of the item, for recording modes `modes`.
"""

from __future__ import annotations

from typing import Annotated, Literal, Self, TypeVar, get_args
from unicodedata import category

from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    StringConstraints,
    model_validator,
)


def _printable(text: str, *, allowed: str = "") -> str:
    """The text itself, unless it holds characters that no paper, table or terminal can show."""
    for character in text:
        is_unseen = category(character) in {"Cc", "Cs", "Zl", "Zp"} or character in "\ufffe\uffff"
        if is_unseen and character not in allowed:
            raise ValueError(
                f"text holds the invisible character U+{ord(character):04X}; take it out"
            )
    return text


def _printable_lines(text: str) -> str:
    return _printable(text, allowed="\n\t")


Id = Annotated[
    str,
    Field(
        pattern=r"^[A-Za-z0-9][A-Za-z0-9._/+-]*$",
        max_length=60,
        json_schema_extra={
            "words": "a name of up to 60 letters, digits and . _ / + - without spaces, "
            "such as lens-70-200"
        },
    ),
]
Name = Annotated[
    str,
    StringConstraints(strip_whitespace=True, min_length=1, max_length=300),
    AfterValidator(_printable),
]
"""Text on one line; space around it does not count."""
Serial = Annotated[
    str,
    StringConstraints(strip_whitespace=True, max_length=200),
    AfterValidator(_printable),
]
Words = Annotated[
    str,
    StringConstraints(strip_whitespace=True, max_length=300),
    AfterValidator(_printable),
]
"""Text on one line, or none."""
Note = Annotated[
    str,
    StringConstraints(strip_whitespace=True, max_length=2000),
    AfterValidator(_printable_lines),
]
"""Text that may run over several lines."""
Positive = Annotated[float, Field(gt=0, allow_inf_nan=False, le=1e6)]
NotNegative = Annotated[float, Field(ge=0, allow_inf_nan=False, le=1e6)]
Minutes = Annotated[float, Field(gt=0, le=1e5, allow_inf_nan=False)]
Count = Annotated[int, Field(ge=0, le=10_000)]

ItemT = TypeVar("ItemT", bound="Item")
Skill = Annotated[
    str,
    Field(
        pattern=r"^[a-z][a-z-]*$",
        max_length=40,
        json_schema_extra={"words": "a word of small letters and hyphens, such as jib-arm"},
    ),
]
Move = Literal["track", "boom", "walk"]
Condition = Literal["good", "worn", "in-repair", "missing", "retired"]
USABLE: frozenset[Condition] = frozenset({"good", "worn"})


class Record(BaseModel):
    """A frozen record that refuses unknown keys."""

    model_config = ConfigDict(frozen=True, extra="forbid")


def require_facts(
    record: Record,
    named: tuple[str, ...],
    what: str,
    example: str,
    *,
    list_name: str = "measured",
) -> None:
    """Check that names of facts in a list of the record are names of facts; a dot reaches inside
    (`built_in.closest_focus_m`).

    Raises:
        ValueError: If a record has no such fact.
    """
    unknown = sorted(name for name in set(named) if not _is_fact(type(record), name))
    if unknown:
        raise ValueError(
            f"{list_name} names {', '.join(unknown)}, which {what} has no fact for; "
            f"use names such as {example}"
        )


def _is_fact(model: type[BaseModel], name: str) -> bool:
    outer, dot, inner = name.partition(".")
    if outer not in model.model_fields:
        return False
    records = get_args(model.model_fields[outer].annotation)
    return not dot or any(
        isinstance(each, type) and issubclass(each, BaseModel) and inner in each.model_fields
        for each in records
    )


class Item(Record):
    """What is common to every kind of item."""

    id: Id
    name: Name
    mass_kg: NotNegative = 0.0
    setup_min: NotNegative | None = None
    """Minutes to set it up; None takes the table `setup_minutes` of shared/."""
    strike_min: NotNegative | None = None
    volume_l: NotNegative | None = None
    """Litres it takes up in a case, as it is packed; None takes the table `volumes` of shared/."""
    is_fragile: bool | None = None
    """Wants a padded case; None takes the same table."""
    is_long: bool | None = None
    """Too long for an ordinary case, as legs are; None takes the same table."""
    measured: tuple[str, ...] = ()
    """Names of the facts that somebody measured; every other fact is assumed."""
    looked_up: tuple[str, ...] = ()
    """Names of the facts that came from the open lens data."""
    to_ask: tuple[str, ...] = ()
    """Names of the facts that nobody has said: a careful guess stands in for them."""
    note: Note = ""

    @model_validator(mode="after")
    def _measured_names_facts(self) -> Self:
        require_facts(self, self.measured, self.id, "mass_kg")
        require_facts(self, self.looked_up, self.id, "mount", list_name="looked_up")
        require_facts(self, self.to_ask, self.id, "closest_focus_m", list_name="to_ask")
        return self

    def is_measured(self, fact: str) -> bool:
        """Whether the fact of this name was measured rather than assumed."""
        return fact in self.measured


class Optic(Record):
    """A lens as the light sees it: a lens in a mount, or the one built into a body."""

    focal_min_mm: Positive
    focal_max_mm: Positive
    stop_wide: Positive
    """Widest f-number at the shortest focal length."""
    stop_tele: Positive | None = None
    """Widest f-number at the longest focal length; None when it does not change."""
    t_stop_loss: NotNegative | None = None
    """Stops lost from f-number to T-stop where known; None takes the rule `t_stop_loss_stops`."""
    least_stop: Positive = 16.0
    """Smallest aperture (largest f-number)."""
    closest_focus_m: NotNegative
    stabiliser_stops: NotNegative = 0.0
    has_power_zoom: bool = False
    holds_focus: bool = False
    """Keeps focus while zooming."""
    holds_stop: bool = False
    """Keeps its f-number while zooming."""

    @model_validator(mode="after")
    def _focal_order(self) -> Self:
        if self.focal_min_mm > self.focal_max_mm:
            raise ValueError(
                f"focal_min_mm {self.focal_min_mm:g} is above focal_max_mm "
                f"{self.focal_max_mm:g}; swap them"
            )
        if self.stop_tele is not None and self.stop_tele < self.stop_wide * 0.5:
            raise ValueError("stop_tele is far wider than stop_wide; swap them")
        return self

    @property
    def is_prime(self) -> bool:
        """Whether the focal length is fixed."""
        return self.focal_min_mm == self.focal_max_mm


class RecordingMode(Record):
    """One way a body records: frame, rate, bit rate and how long a clip may get."""

    name: Name
    frame_width_px: Annotated[int, Field(gt=0, le=20_000)]
    frame_height_px: Annotated[int, Field(gt=0, le=20_000)]
    frame_rate_fps: Annotated[float, Field(ge=1, le=1000)]
    bit_rate_mbps: Positive
    crop: Annotated[float, Field(ge=1, le=10)] = 1.0
    """Sensor width divided by the width that this mode reads."""
    clip_limit_min: Minutes | None = None
    at_limit: Literal["stops", "splits"] = "stops"
    """Whether the body stops at the clip limit or splits the file and goes on."""


class Body(Item):
    """A camera body, or a camera with its lens built in."""

    kind: Literal["body"] = "body"
    mount: Id | None = None
    built_in: Optic | None = None
    sensor_width_mm: Positive
    sensor_height_mm: Positive
    modes: tuple[RecordingMode, ...] = Field(min_length=1)
    base_iso: Positive = 100.0
    max_iso: Positive
    """Highest ISO whose picture the crew accepts."""
    shutter_speeds_per_s: tuple[Positive, ...] = ()
    """Denominators of the shutter speeds it has (50 for 1/50 s); empty takes the shared series."""
    has_manual_control: bool = True
    readout_ms: Positive | None = None
    battery: Id | None = None
    """Item id of the battery it takes."""
    battery_min: Minutes | None = None
    """Minutes of recording from one full battery."""
    runs_on_mains: bool = False
    card_type: Id = "sd"
    heat_limit_min: Minutes | None = None
    is_door_blocked: bool = False
    """The plate covers the door of battery or card: changing either means taking it off."""
    autofocus_is_usable: bool = False
    stabiliser_stops: NotNegative = 0.0

    @model_validator(mode="after")
    def _complete(self) -> Self:
        if (self.mount is None) == (self.built_in is None):
            raise ValueError("both or neither of mount and built_in are given; give one of the two")
        if self.battery is not None and self.battery_min is None:
            raise ValueError(
                "battery is given without battery_min; add the minutes from a full one"
            )
        if self.battery is None and not self.runs_on_mains:
            raise ValueError(
                "the body has no power; give battery and battery_min, or set runs_on_mains to true"
            )
        if self.base_iso > self.max_iso:
            raise ValueError(
                f"base_iso {self.base_iso:g} is above max_iso {self.max_iso:g}; raise max_iso"
            )
        return self


class Lens(Item, Optic):
    """A lens for a mount."""

    kind: Literal["lens"] = "lens"
    mount: Id
    image_circle_mm: Positive
    iris: Literal["ring", "electronic"] = "ring"
    filter_thread_mm: Positive | None = None


class Adapter(Item):
    """Puts a lens of one mount on a body of another."""

    kind: Literal["adapter"] = "adapter"
    lens_mount: Id
    body_mount: Id
    has_glass: bool = False
    """A plain ring has none and must obey the flange distances."""
    focal_factor: Annotated[float, Field(gt=0.3, lt=4)] = 1.0
    stops_gained: Annotated[float, Field(ge=-4, le=4)] = 0.0
    passes_on: tuple[Literal["iris", "autofocus", "stabiliser"], ...] = ()

    @model_validator(mode="after")
    def _plain_changes_nothing(self) -> Self:
        if not self.has_glass and (self.focal_factor != 1.0 or self.stops_gained != 0.0):
            raise ValueError(
                "a plain ring changes neither focal length nor light; "
                "set has_glass, or focal_factor 1 and stops_gained 0"
            )
        return self


class Head(Item):
    """What sits between support and body."""

    kind: Literal["head"] = "head"
    payload_kg: Positive
    fitting: Id
    """What it screws or clamps onto, such as bowl-75 or thread-3/8."""
    plate: Id | None = None
    """Plate system that its clamp takes; None for a bare screw."""
    can_pan_tilt: bool = True
    is_remote: bool = False
    needs_mains: bool = False


class Support(Item):
    """Legs, slider, dolly, jib, clamp, monopod, shoulder rig: what carries head and body."""

    kind: Literal["support"] = "support"
    payload_kg: Positive
    fitting: Id | None = None
    """What a head must have to fit on top; None when the support needs no head."""
    plate: Id | None = None
    """Plate system where the body sits directly on the support."""
    stands_on: tuple[Literal["floor", "rail", "bar"], ...] = ("floor",)
    height_min_m: NotNegative
    height_max_m: Positive
    moves: tuple[Move, ...] = ()
    """Moves in shot that it is made for."""
    is_arm: bool = False
    """A boom or jib: needs a counterweight, room to sweep and a weight on its base."""
    can_stand_alone: bool = True
    """Holds the camera still without a hand on it."""
    people: Annotated[int, Field(ge=1, le=9)] = 1
    skill: Skill | None = None
    """Skill that its operator must have."""
    footprint_m: Positive = 1.0
    """Width of floor or rail that it takes up."""
    sweep_m: NotNegative | None = None
    """How far from its home point a move takes the camera: the reach of an arm, half a track."""
    needs_mains: bool = False

    @model_validator(mode="after")
    def _height_order(self) -> Self:
        if self.height_min_m > self.height_max_m:
            raise ValueError(
                f"height_min_m {self.height_min_m:g} is above height_max_m "
                f"{self.height_max_m:g}; swap them"
            )
        return self


class Battery(Item):
    """A battery; a body names it by id."""

    kind: Literal["battery"] = "battery"
    energy_wh: Positive | None = None


class Charger(Item):
    """Charges batteries in bays."""

    kind: Literal["charger"] = "charger"
    batteries: tuple[Id, ...] = Field(min_length=1)
    bays: Annotated[int, Field(ge=1, le=50)] = 1
    charge_min: Minutes
    """Minutes from flat to full."""


class Media(Item):
    """A memory card or drive that a recorder writes to."""

    kind: Literal["media"] = "media"
    card_type: Id = "sd"
    capacity_gb: Positive
    """Gigabytes of 10^9 bytes."""
    sustained_mb_s: Positive
    """Sustained write speed in 10^6 bytes per second."""


class Sound(Item):
    """A sound recorder, a microphone, or a feed from the desk."""

    kind: Literal["sound"] = "sound"
    what: Literal["recorder", "microphone", "desk-feed"]
    channels: Annotated[int, Field(ge=1, le=128)] = 1
    battery: Id | None = None
    battery_min: Minutes | None = None
    runs_on_mains: bool = False
    card_type: Id | None = None
    bit_rate_mbps: Positive | None = None
    needs_phantom: bool = False


class Accessory(Item):
    """A small thing that a rig depends on; `serves` says which, in the words of shared/needs."""

    kind: Literal["accessory"] = "accessory"
    serves: Id
    """plate, bond, sandbag, mains-lead, cap, clamp, cable, monitor, headset ..."""
    fits: Id | None = None
    """Plate system or fitting it belongs to, where that matters."""


class Case(Item):
    """A bag or case; `mass_kg` is its empty mass."""

    kind: Literal["case"] = "case"
    volume_l: Positive
    """Litres inside it."""
    most_load_kg: Positive
    is_padded: bool = False
    """Fragile things travel in it without further wrapping."""
    takes_long: bool = False
    """Long things fit in: a bag for legs."""


AnyItem = Annotated[
    Body | Lens | Adapter | Head | Support | Battery | Charger | Media | Sound | Accessory | Case,
    Field(discriminator="kind"),
]
ITEM_TYPES: dict[str, type[Item]] = {
    "body": Body,
    "lens": Lens,
    "adapter": Adapter,
    "head": Head,
    "support": Support,
    "battery": Battery,
    "charger": Charger,
    "media": Media,
    "sound": Sound,
    "accessory": Accessory,
    "case": Case,
}
