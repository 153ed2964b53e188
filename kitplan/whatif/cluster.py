"""The same sweep on a cluster: tasks go to the workers of a Dask scheduler.

Who does what, and again where a worker has died, is up to the scheduler. Before anything is sent
all of them say what they run: other versions could come to other answers, so they are refused.
The library comes with the extra `cluster` and is imported when it is needed.
"""

from __future__ import annotations

import logging
import platform
import re
import socket
import uuid
import warnings
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from functools import cache
from hashlib import sha256
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import Any

import kitplan
from kitplan.errors import SettingError
from kitplan.tables import tables_hash
from kitplan.whatif.executors import Note, R, T

CONNECT_S = 5.0
SAME = ("ortools", "numpy", "shapely")
"""Packages that answers depend on."""
OPTION = "--cluster"
ADDRESS = re.compile(
    r"(?P<scheme>tcp://|tls://)?(?P<host>\[[0-9A-Fa-f:.]+\]|[^\s:/\[\]]+):(?P<port>[0-9]{1,5})"
)

logger = logging.getLogger("kitplan")


@dataclass(frozen=True)
class Cluster:
    """The workers of a scheduler."""

    address: str

    def run(self, work: Callable[[T], R], tasks: Sequence[T], note: Note[T, R]) -> None:
        """Work on every task; see `Executor`.

        A worker that dies costs time only: the scheduler gives its tasks to others. Those that were
        with too many dead ones are tried once more, each alone, since it may be the fault of one.
        A scheduler that goes away ends the sweep like an interrupt. What runs on a worker by then
        runs out its time there.

        Raises:
            SettingError: If there is no such cluster, or its workers run other versions.
        """
        with connected(self.address) as client:
            _check_versions(client, self.address)
            for suspect in _until_all_answer(client, work, tasks, note):
                if _until_all_answer(client, work, [suspect], note):
                    note(suspect, None)


def _until_all_answer(
    client: Any, work: Callable[[T], R], tasks: Sequence[T], note: Note[T, R]
) -> list[T]:
    """Note every answer as it comes; return the tasks that were with too many dead workers."""
    from distributed import KilledWorker, as_completed

    sweep = uuid.uuid4().hex
    expected = versions()
    flying = {  # no `retries`: they are for faults, which would be the same again
        client.submit(at_worker, expected, work, task, key=f"kitplan-{sweep}-{n}", pure=False): task
        for n, task in enumerate(tasks)
    }
    suspects = []
    done = as_completed(list(flying), loop=client.loop, with_results=True, raise_errors=False)
    for future, answer in done:
        task = flying.pop(future)
        if future.status == "finished":
            note(task, answer)
        elif future.status == "cancelled":
            logger.warning("the scheduler went away")
            raise KeyboardInterrupt
        elif isinstance(error := future.exception(), KilledWorker):
            suspects.append(task)
        else:
            raise error
    return suspects


# -- at the workers --------------------------------------------------------------------------------


def at_worker(expected: dict[str, str], work: Callable[[T], R], task: T) -> R:
    """Return what a task comes to, at a worker that may have come after the others were asked.

    Raises:
        SettingError: If it runs other versions.
    """
    if versions() != expected:
        raise _other_versions("a worker that has come since", versions())
    return work(task)


def versions() -> dict[str, str]:
    """Return whatever answers depend on besides the task, by name."""
    return {
        "kitplan": f"{kitplan.__version__} (code {_code()}, tables {tables_hash()[:8]})",
        "Python": ".".join(platform.python_version_tuple()[:2]),
        **{name: _version(name) for name in SAME},
    }


@cache
def _code() -> str:
    """Return a hash of this package as it is, since a checkout has the number of a release."""
    digest = sha256()
    root = Path(kitplan.__file__).parent
    for path in sorted(root.rglob("*.py")):
        digest.update(path.relative_to(root).as_posix().encode())
        digest.update(path.read_bytes().replace(b"\r\n", b"\n"))
    return digest.hexdigest()[:8]


def _version(name: str) -> str:
    try:
        return version(name)
    except PackageNotFoundError:
        return "none"


# -- the connection --------------------------------------------------------------------------------


@contextmanager
def connected(address: str) -> Iterator[Any]:
    """Yield a client of the scheduler; what is still waiting there is cancelled at the end.

    Raises:
        SettingError: If the library is missing, or no scheduler answers.
    """
    try:
        from distributed import Client
    except ImportError as error:
        raise SettingError(
            "this needs the extra 'cluster', which is not installed",
            where=OPTION,
            fix="In the folder of kitplan: pip install '.[cluster]'",
        ) from error
    _require_scheduler(address)
    with _quiet():
        try:
            client = Client(address, timeout=CONNECT_S, set_as_default=False)
        except (OSError, TypeError, ValueError) as error:
            raise _no_scheduler(address, error) from error
        try:
            yield client
        finally:
            with suppress(OSError):  # it may be gone
                client.close(timeout=CONNECT_S)


def _require_scheduler(address: str) -> None:
    """Raise unless a scheduler answers soon: the library would wait for long, or for ever."""
    form = ADDRESS.fullmatch(address)
    if form is None:
        raise _no_scheduler(address, "it is no address with a port")
    if form["scheme"] == "tls://" and not _has_keys():
        raise SettingError(
            "there are no keys for tls",
            where=f"{OPTION} {address}",
            fix="Name them in the configuration of Dask, under distributed: comm: tls",
        )
    try:
        with socket.create_connection(
            (form["host"].strip("[]"), int(form["port"])), CONNECT_S
        ) as s:
            is_one = form["scheme"] == "tls://" or s.recv(1)  # without keys it speaks first
    except (OSError, OverflowError) as error:
        raise _no_scheduler(address, error) from error
    if not is_one:
        raise _no_scheduler(address, "what answers there is none")


def _has_keys() -> bool:
    from distributed.security import Security

    return Security().get_connection_args("client").get("ssl_context") is not None


def _no_scheduler(address: str, reason: object) -> SettingError:
    words = reason if isinstance(reason, str) else _reason(reason)
    return SettingError(
        f"no scheduler answers there ({words})",
        where=f"{OPTION} {address}",
        fix="Give the address that it names when it starts, such as tcp://192.168.1.20:8786",
    )


@contextmanager
def _quiet() -> Iterator[None]:
    """Keep the library from speaking for itself: whatever matters is said by an error of ours."""
    log = logging.getLogger("distributed")
    before = log.level
    log.setLevel(logging.CRITICAL + 1)
    try:
        with warnings.catch_warnings():
            warnings.filterwarnings("ignore", module="distributed")
            yield
    finally:
        log.setLevel(before)


def _check_versions(client: Any, address: str) -> None:
    """Raise unless there are workers, and they and the scheduler, which reads every task, run what
    runs here.
    """
    try:
        found = {"the scheduler": client.run_on_scheduler(versions)}
    except Exception as error:  # whatever reading an unknown function there comes to
        raise _other_versions("the scheduler", error) from error
    answers = client.run(versions, on_error="return")
    workers = {  # one that cannot be reached is on its way out
        name: answer for name, answer in answers.items() if not isinstance(answer, OSError)
    }
    if not workers:
        fix = f"Start some where kitplan is installed: dask worker {address} --nthreads 1"
        where = f"{OPTION} {address}"
        raise SettingError("the scheduler has no workers", where=where, fix=fix)
    for name, theirs in sorted({**found, **workers}.items()):
        if theirs != versions():
            raise _other_versions(name, theirs)


def _other_versions(name: str, theirs: object) -> SettingError:
    own = versions()
    if isinstance(theirs, dict):
        words = ", ".join(
            f"{package} {theirs.get(package, 'none')} instead of {own[package]}"
            for package in own
            if theirs.get(package) != own[package]
        )
        problem = f"{name} has {words}"
    else:
        problem = f"{name} has another kitplan, or none ({_reason(theirs)})"
    fix = "Install the same versions there as here: answers could differ"
    return SettingError(problem, where=OPTION, fix=fix)


def _reason(error: object) -> str:
    words = " ".join(str(error).split())
    return f"{type(error).__name__}: {words}" if words else type(error).__name__
