"""Fallbacks: what may be lost, what each reply comes to, in which order."""

from __future__ import annotations

from functools import cache

from kitplan.allocate.solver import Limits
from kitplan.plan.verify import verify
from kitplan.shoot.past import Past
from kitplan.whatif.fallback import Fallback, jobs_of, key_of, single_losses, worst_first
from kitplan.whatif.got import stood_of
from kitplan.whatif.losses import plan_without
from kitplan.whatif.sweep import Result, run
from tests.plans import small_plan
from tests.small import cameras

ONE = Limits(seconds=3, seed=1, workers=1)


@cache
def found() -> tuple[Fallback, ...]:
    """Return the fallbacks of the small plan, worked out in this process."""
    plan = small_plan()
    losses = single_losses(plan)
    results = dict(run(jobs_of(plan, losses, ONE), processes=1, tell=lambda *_: None))
    return tuple(Fallback(kind, loss, results[key_of(kind, loss)]) for kind, loss in losses)


def test_like_units_are_lost_once_and_what_is_idle_never() -> None:
    """One of two bodies, one of the legs in plenty, two people, three places, two passes; cells and
    cards are there in plenty.
    """
    labels = [(each.kind, each.loss.label) for each in found()]
    assert labels == [
        ("item", "one of 2 cam"),
        ("item", labels[1][1]),
        *(("person", name) for name in ("ann", "ben")),
        *(("position", name) for name in ("front", "left", "right")),
        *(("pass", name) for name in ("run", "show")),
    ]
    assert labels[1][1].endswith("legs")


def test_each_reply_holds_and_is_what_without_answers() -> None:
    """To the placement."""
    plan = small_plan()
    for each in found():
        reply = each.result.reply
        assert reply is not None
        assert verify(reply) == ()
    first = found()[0]
    alone = plan_without(plan, [first.loss], ONE)
    assert first.result.reply is not None
    assert alone.plan.placements == first.result.reply.placements
    assert alone.changes == first.result.changes


def test_the_worst_of_a_kind_comes_first_and_what_is_not_known_last() -> None:
    """A body costs a viewpoint, legs nothing; the pass that was stopped comes last."""
    plan = small_plan()
    stopped = [
        Fallback(e.kind, e.loss, Result(None, "stopped")) if e.loss.id == "show" else e
        for e in found()
    ]
    order = [each.loss.id for each in worst_first(plan, stopped[::-1])]
    assert [name.partition("-")[0] for name in order[:2]] == ["cam", "legs"]
    assert order[-2:] == ["run", "show"]


def test_what_is_over_cannot_be_lost() -> None:
    """After the run only the show's places, and no pass, as there is no other."""
    plan = small_plan()
    stood = tuple(stood_of(each, ()) for each in cameras(plan, "run"))
    past = Past(passes=("run",), stood=stood)
    after = plan_without(plan, (), ONE, past=past).plan
    kinds = {kind for kind, _ in single_losses(after)}
    assert kinds == {"item", "person", "position"}
    places = {loss.id for kind, loss in single_losses(after) if kind == "position"}
    assert places == {each.position for each in cameras(after, "show")}
