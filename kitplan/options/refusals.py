"""Why a thing is not possible: every refusal keeps its rule and its figures.

A rule has one sentence here; verify has its own words, since it shares no code with the options.
"""

from __future__ import annotations

from dataclasses import dataclass

SENTENCES: dict[str, str] = {
    # cameras
    "mount": "no owned adapter puts this lens on this body",
    "flange": "a plain ring of {value:.2f} mm would be needed; it takes at least {limit:.2f} mm",
    "image-circle": "its image circle of {value:.1f} mm does not cover the {limit:.1f} mm in use",
    "mode": "it has no recording mode at the delivery's frame rate and size",
    "shutter": "it has no shutter speed of 1/{limit:.0f} s, which all cameras share",
    "no-unit": "no unit of it is free",
    # stands
    "fitting": "no owned head fits on top",
    "stands-on": "it does not stand on what the position offers",
    "height": "it reaches {value:.2f} m of lens height; the position asks for {limit:.2f} m",
    "room": "its footprint of {value:.2f} m is wider than the {limit:.2f} m there",
    "mains": "it needs mains, and the position has none",
    "payload": "no stand there carries its {value:.2f} kg (strongest: {limit:.2f} kg with margin)",
    "skill": "nobody on hand may run it there",
    "hands": "it needs {limit:.0f} people, and {value:.0f} are on hand",
    # positions
    "closed": "the position is not open in this pass",
    "permission": "permission is not given",
    "overhead": "above people it takes the venue's yes, a bond and a second person who may rig",
    "nobody-rigs": "nobody who is on hand before or after the pass may work there",
    # people
    "not-operator": "does not operate a camera",
    "not-on-hand": "is not on hand from doors to the end of the pass",
    "performs": "performs in every song of the pass",
    "on-stage": "may not be on stage",
    "not-allowed-there": "is not one of the people allowed there",
    "shut-in": "performs in this pass and could not leave the position",
    # shots
    "too-long": "the widest frame is {value:.2f} m high; the size needs at least {limit:.2f} m",
    "too-short": "the tightest frame is {value:.2f} m high; the size allows at most {limit:.2f} m",
    "closest-focus": "the subject is {value:.2f} m away; the lens focuses from {limit:.2f} m",
    "light": "it would take ISO {value:.0f}; {limit:.0f} is the most that is accepted",
    "no-light-row": "the light on the subject is not known in this pass",
    "no-audience": "there is no audience in this pass",
    "focus": "locked focus holds from {value:.2f} m; the subject comes as near as {limit:.2f} m",
    "roam": "a locked frame of {value:.2f} m width loses a subject that needs {limit:.2f} m",
    "endurance": "nobody can reach it; it lasts {value:.0f} min and needs {limit:.0f} min",
    "needs-hand": "nobody can frame with it there, it only holds still",
    "needs-rest": "it does not hold still without a hand on it",
    "no-card": "no free card of its type is fast and large enough",
    "laser": "a laser shines into the frame and can destroy the sensor",
    "consent": "somebody without consent is in it; only frames from {limit:.1f} m of height may",
    "hidden": "{value:.0f}% of it is hidden; {limit:.0f}% is the most",
    "empty-seats": "empty seats fill {value:.0f}% of the frame; {limit:.0f}% is the most here",
    "steadiness": "it shakes by {value:.1f}% of the frame's height at {limit:.1f} degrees of view",
    "automatic": "it works only automatically, which a locked-off camera in stage light must not",
}


@dataclass(frozen=True)
class Refusal:
    """Something that is not possible, the rule that says so, and the figures."""

    what: str
    rule: str
    value: float = float("nan")
    limit: float = float("nan")

    @property
    def sentence(self) -> str:
        """The rule in words, with its figures."""
        return SENTENCES[self.rule].format(value=self.value, limit=self.limit)

    def __str__(self) -> str:
        return f"{self.what}: {self.sentence}"
