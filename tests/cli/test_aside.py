"""Jobs done in a second process give the same answers as done here, and tell the same errors."""

from __future__ import annotations

import os

import pytest

from kitplan.cli import aside
from kitplan.cli.aside import Aside

JOBS = {"large": lambda: "x" * 1_000_000, "none": lambda: None, "where": os.getpid}
CAN_FORK = hasattr(os, "fork")


def begun(monkeypatch: pytest.MonkeyPatch, *, forks: bool) -> Aside:
    """Return the jobs, begun with or without another process."""
    monkeypatch.setattr(aside, "_may_fork", lambda: forks)
    return Aside(JOBS)


@pytest.mark.parametrize(
    "forks", [False, pytest.param(True, marks=pytest.mark.skipif(not CAN_FORK, reason="no fork"))]
)
def test_jobs_give_the_same_answers_wherever_they_are_done(
    monkeypatch: pytest.MonkeyPatch, *, forks: bool
) -> None:
    """In any order, None included, and more than a pipe holds."""
    jobs = begun(monkeypatch, forks=forks)
    assert jobs.result("none") is None
    assert jobs.result("large") == "x" * 1_000_000
    assert (jobs.result("where") != os.getpid()) is forks


@pytest.mark.skipif(not CAN_FORK, reason="no fork")
def test_a_job_that_fails_there_is_done_again_here(monkeypatch: pytest.MonkeyPatch) -> None:
    """With whatever comes after it; jobs before it are kept."""
    here = os.getpid()

    def only_here() -> int:
        if os.getpid() != here:
            raise ValueError
        return 7

    monkeypatch.setattr(aside, "_may_fork", lambda: True)
    jobs = Aside({"first": os.getpid, "fails": only_here, "last": os.getpid})
    assert jobs.result("first") != here
    assert jobs.result("fails") == 7
    assert jobs.result("last") == here


def test_an_error_is_raised_where_the_answer_is_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    """And not before."""

    def fail() -> None:
        message = "wrong"
        raise LookupError(message)

    monkeypatch.setattr(aside, "_may_fork", lambda: CAN_FORK)
    jobs = Aside({"fails": fail})
    with pytest.raises(LookupError, match="wrong"):
        jobs.result("fails")
