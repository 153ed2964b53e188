"""What is usually done about the hazards of filming a performance, by the name of the hazard.

Common practice among small crews, no source: it defers to the venue, local codes and licensed
people, who may ask for more.
"""

from __future__ import annotations

MEASURES: dict[str, tuple[str, ...]] = {
    "Overhead rigging": (
        "Permission of the venue by name, before anything is lifted",
        "Rated fixings only; a steel bond without slack on every part: head, body, lens",
        "Two people, one of them may rig; tools on lanyards, pockets empty",
        "Roped off below, nobody underneath; never over people who sit or play there",
        "The venue's competent person looks last; bonds come off last",
    ),
    "Things on rails above people": (
        "Clamp on what bears it, not on trim; ask the venue which rail",
        "Bond on every part; nothing loose laid on the rail: caps, phones, cups",
        "Second look by somebody else; nobody below while it is clamped",
    ),
    "High places": (
        "Behind a rail, or not at all; feet and legs away from the edge",
        "Camera and long lens tied; nothing put down on the edge",
        "Ladders held by a second person; hands free on the way up",
    ),
    "Arm": (
        "Only people who have learned it, one of them at the weights",
        "Weights on before the camera, off after it; base weighted and level",
        "Sweep roped off or watched; never over people; parked and tied when nobody holds it",
        "The venue agrees first",
    ),
    "Mains": (
        "The venue's electrician says which outlets, and has the last word",
        "Residual-current device (RCD, GFCI); never a dimmed outlet, never the lights' own",
        "Tested leads, uncoiled, dry; tails taped down or ramped",
    ),
    "Batteries on charge": (
        "On something that does not burn, not covered, in sight of somebody",
        "No swollen, wet or dropped battery in a bay or camera",
        "Contacts covered on the way; out of the heat of a closed car",
    ),
    "Lifting and carrying": (
        "Two people for each, more or wheels where the load list says so; who says no carries less",
        "Way walked first: doors held, steps known, floor dry",
        "Venue's and employer's own limits come first",
    ),
    "Trips, gangways and exits": (
        "Legs and cables out of aisles, exits and wheelchair bays",
        "No cable across a way out; elsewhere taped flat or ramped",
        "Legs marked white; weights on legs that somebody may knock",
        "Front of house and the fire rules decide, and look before doors",
    ),
    "Standing crowd": (
        "A barrier or the house's own people between crowd and camera",
        "Nobody alone in the crowd; way out agreed before doors",
        "It gets tight: leave the camera, not the way out",
    ),
    "No way in or out during the pass": (
        "Water, toilet and light before doors; a sign to the crew lead agreed",
        "Everybody there knows the way out in an emergency and takes it",
    ),
    "Dark": (
        "Red torch for everybody; walk the ways once in the light",
        "Edges, steps and legs marked; no running",
    ),
    "Lasers": (
        "Never in a lens, never in eyes; ask the operator where they sweep, mirrors too",
        "Angles agreed by name; off or capped during rigging",
    ),
    "Noise": ("Hearing protection for these places, worn from the first sound check on",),
    "Heat of cameras": (
        "Not covered, not in the beam of a lamp; let it cool before it goes into a case",
    ),
    "Outdoors": (
        "Somebody watches wind and rain; arm and high legs come down first",
        "Weights and ties on everything; nothing electric wet",
        "Lightning: everybody down and under a roof",
    ),
    "Held by hand": ("Arms rested every 10 to 15 minutes, between songs; somebody to take over",),
    "Long day": (
        "Meals, water and a sitting break as on the day sheet; nobody skips them",
        "Nobody rigs overhead, lifts or drives home tired; change over",
    ),
    "Children": (
        "School or chaperone says who may be filmed, and where cameras and people may be",
        "Nobody of the crew alone with a child; nothing filmed or posted from phones",
    ),
    "Consent": (
        "List of who may not be filmed with the crew lead",
        "Notice at the doors where the audience is filmed; who asks is left out",
    ),
}
