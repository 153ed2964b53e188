"""The door: codes, sessions, lock-outs."""

from __future__ import annotations

from html import escape
from pathlib import Path
from urllib.parse import quote

import pytest
from starlette.testclient import TestClient

from kitplan.web import sessions
from kitplan.web.sessions import LOCKED_S, MOST_WRONG, MOST_WRONG_IN_ALL, SESSION_S, Sessions
from tests.web.client import client_of, project_in

CODE = "ABCDEFGH"


class Clock:
    """A clock that is set by hand."""

    now_s = 0.0

    def __call__(self) -> float:
        """Return the time."""
        return self.now_s


@pytest.fixture
def clock() -> Clock:
    """Time that stands still."""
    return Clock()


@pytest.fixture
def client(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> TestClient:
    """Somebody on the network who has not been here before."""
    monkeypatch.setattr("kitplan.web.pages.door.PAUSE_S", 0.0)
    return client_of(project_in(tmp_path, has_plan=False), CODE)


def test_without_the_code_there_is_only_the_door(client: TestClient) -> None:
    """Pages lead to it, data is refused; what the door is made of is there."""
    sent_on = client.get("/", headers={"accept": "text/html"}, follow_redirects=False)
    assert sent_on.headers["location"] == "/enter"
    assert client.get("/api/shoot").status_code == 401
    assert client.get("/static/base.css").status_code == 200
    posted = client.post("/api/solve", json={})
    assert posted.status_code == 401


@pytest.mark.parametrize(
    "asked", ["/gear/u/zoom-1", "/gear/u/a~..~b", "/card/show/A?plan=1", "/gear/u/a+b"]
)
def test_the_code_leads_to_what_was_asked_for(client: TestClient, asked: str) -> None:
    """As a label's code does; also after a wrong code, and again once somebody is inside."""
    html = {"accept": "text/html"}
    door = client.get(asked, headers=html, follow_redirects=False).headers["location"]
    assert door == f"/enter?to={quote(asked, safe='')}"
    for text in (client.get(door).text, client.post(door, data={"to": asked, "code": "X"}).text):
        assert f'name="to" value="{escape(asked)}"' in text
    answer = client.post("/enter", data={"code": CODE, "to": asked}, follow_redirects=False)
    assert answer.headers["location"] == asked
    assert client.get(door, follow_redirects=False).headers["location"] == asked


@pytest.mark.parametrize(
    "to",
    [
        "//evil.example",
        "///evil.example",
        "/\\evil.example",
        "\\\\evil.example",
        "/\t/evil.example",
        "/%2F/evil.example",
        "/%5Cevil.example",
        "http://evil.example/",
        "javascript:alert(1)",
        "gear",
        "",
        "/..%2f..%2fx",
        "/a/../..//evil.example",
        "/gear\r\nset-cookie: a=b",
        "/gear\0",
        "/#//evil.example",
        "/" + "a" * 1000,
        "/enter?to=/enter",
        "/%65nter",
        '/"><script>alert(1)</script>\u202e',
    ],
)
def test_the_door_leads_nowhere_else(client: TestClient, to: str) -> None:
    """Whatever a link to it says; nothing of that stands on its page either."""
    shown = client.get("/enter", params={"to": to}).text
    assert 'name="to"' not in shown
    assert "evil" not in shown
    for answer in (
        client.post("/enter", data={"code": CODE, "to": to}, follow_redirects=False),
        client.get("/enter", params={"code": CODE, "to": to}, follow_redirects=False),
        client.get("/enter", params={"to": to}, follow_redirects=False),
    ):
        assert (answer.status_code, answer.headers["location"]) == (303, "/")


def test_two_shoots_on_one_machine_have_cookies_of_their_own(client: TestClient) -> None:
    """Browsers do not part cookies by port: the second door must not shut the first one."""
    answer = client.post("/enter", data={"code": CODE}, follow_redirects=False)
    assert answer.headers["set-cookie"].startswith("kitplan-session8047=")


@pytest.mark.parametrize("given", [CODE, "abcd efgh", " ABCD-EFGH "])
def test_the_code_opens_typed_in_any_way(client: TestClient, given: str) -> None:
    """The cookie is out of reach of scripts and other sites."""
    answer = client.post("/enter", data={"code": given}, follow_redirects=False)
    assert answer.status_code == 303
    cookie = answer.headers["set-cookie"].casefold()
    assert all(word in cookie for word in ("httponly", "samesite=lax", "path=/", "max-age=43200"))
    assert CODE.casefold() not in cookie
    assert client.get("/api/shoot").status_code == 200


def test_the_scanned_address_opens_and_leaves_no_code_behind(client: TestClient) -> None:
    """The answer sends on to an address without it."""
    answer = client.get(f"/enter?code={CODE}", follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, "/")
    assert answer.headers["cache-control"] == "no-store"
    assert client.get("/api/shoot").status_code == 200


def test_wrong_codes_lock_out(client: TestClient) -> None:
    """After some the right one does not open either, and it is said for how long."""
    for number in range(1, MOST_WRONG + 1):
        status = 403 if number < MOST_WRONG else 429
        assert client.get("/enter?code=WRONG").status_code == status
    for answer in (client.get(f"/enter?code={CODE}"), client.post("/enter", data={"code": CODE})):
        assert answer.status_code == 429
        assert int(answer.headers["retry-after"]) <= LOCKED_S
        assert "Too many wrong codes. Try again in 15 min." in answer.text


def test_lock_outs_end(clock: Clock) -> None:
    """One address is locked out, others are not; later it may try again."""
    door = Sessions(CODE, clock)
    for _ in range(MOST_WRONG):
        assert door.enter("WRONG", "1.1.1.1") is None
    assert door.enter(CODE, "1.1.1.1") is None
    assert door.enter(CODE, "2.2.2.2") is not None
    clock.now_s = LOCKED_S
    assert door.enter(CODE, "1.1.1.1") is not None


def test_many_addresses_together_are_locked_out(clock: Clock) -> None:
    """Nobody new gets in; who is inside stays inside."""
    door = Sessions(CODE, clock)
    inside = door.enter(CODE, "1.1.1.1")
    for number in range(MOST_WRONG_IN_ALL):
        door.enter("WRONG", f"10.0.0.{number}")
    assert door.enter(CODE, "2.2.2.2") is None
    assert door.knows(inside)
    assert len(door._wrong) == MOST_WRONG_IN_ALL  # what is refused is not even noted


def test_addresses_of_the_long_kind_count_by_their_network(clock: Clock) -> None:
    """Each has as many as it likes; another network is not locked out with it."""
    door = Sessions(CODE, clock)
    for number in range(MOST_WRONG):
        assert door.enter("WRONG", f"2001:db8::{number:x}") is None
    assert door.locked_s("2001:db8::ffff:1") == LOCKED_S
    assert door.locked_s("fe80::1%eth0") == 0
    assert door.enter(CODE, "2001:db8:0:1::1") is not None


def test_sessions_end(clock: Clock) -> None:
    """After a day of work."""
    door = Sessions(CODE, clock)
    key = door.enter(CODE)
    clock.now_s = SESSION_S - 1
    assert door.knows(key)
    clock.now_s = SESSION_S
    assert not door.knows(key)
    assert not door.knows(None)


def test_there_are_only_so_many_sessions(clock: Clock) -> None:
    """The oldest one ends for a new one."""
    door = Sessions(CODE, clock)
    keys = []
    for number in range(sessions.MOST_SESSIONS + 1):
        clock.now_s = number
        keys.append(door.enter(CODE))
    assert not door.knows(keys[0])
    assert all(door.knows(key) for key in keys[1:])


def test_no_code_no_door(tmp_path: Path) -> None:
    """On the machine itself the door leads straight in, and gives nobody a cookie."""
    client = client_of(project_in(tmp_path, has_plan=False))
    answer = client.get("/enter?code=X", follow_redirects=False)
    assert answer.headers["location"] == "/"
    assert "set-cookie" not in answer.headers


def test_codes_are_of_letters_that_do_not_look_alike() -> None:
    """Eight of them, each time others."""
    codes = {sessions.new_code() for _ in range(20)}
    assert len(codes) == 20
    assert all(len(code) == 8 and not set(code) & set("IO01") for code in codes)
