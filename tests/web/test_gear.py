"""The gear on phones: finding, signing out and back, faults."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from kitplan.gear.counting import path_of
from kitplan.gear.history import Booked, Booking
from kitplan.gear.kit import Kit
from kitplan.gear.store import Store
from kitplan.web.hall.gear import Gear
from kitplan.web.memo import Memo
from kitplan.web.project import Project
from kitplan.web.rendering import COUNT_PATH
from tests.web.client import client_of, project_in
from tests.web.halls import press, project_with_gear

ZOOM = "zoom-16-50-1"
HOSTILE = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "'; DROP TABLE loans; --",
    "=1+1",
    "{{ 7919*7919 }}",
    "🎥 Thea",
)


@pytest.fixture
def project(tmp_path: Path) -> Project:
    """A dance evening with its gear in an inventory."""
    return project_with_gear(tmp_path)


@pytest.fixture
def client(project: Project) -> TestClient:
    """Somebody with a phone."""
    return client_of(project)


def found(client: TestClient, words: str) -> list[str]:
    """Ids of what a search shows."""
    return [
        each["unit"] for each in client.get("/api/gear", params={"find": words}).json()["things"]
    ]


# -- finding ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("words", "units"),
    [
        ("zoom 16-50", [ZOOM]),
        ("ZOOM-16", [ZOOM]),
        ("kitplan:unit/zoom-16-50-1", [ZOOM]),
        ("http://192.168.1.20:8047/gear/u/zoom-16-50-1", [ZOOM]),
        ("no such thing", []),
        ("", []),
    ],
)
def test_a_thing_is_found_by_name_id_or_code(
    client: TestClient, words: str, units: list[str]
) -> None:
    """Whatever the phone was given: words in any order, an id, both forms of a label's code."""
    assert found(client, words) == units


def test_a_thing_is_found_by_the_name_of_its_owner(client: TestClient) -> None:
    """The shoot knows that `wilf` is called Wilf; the page shows the name."""
    things = client.get("/api/gear", params={"find": "Wilf"}).json()["things"]
    assert {"bag-wilf", "camcorder-1"} <= {each["unit"] for each in things}
    assert {each["owner"] for each in things} == {"Wilf"}


def test_a_unit_says_where_it_is_and_what_the_plan_does_with_it(project: Project) -> None:
    """Its case, and camera B in all three passes; the next one is the first that is not over."""
    gear = Gear(project, Memo())
    before = gear.unit(ZOOM, datetime(2027, 3, 1, tzinfo=UTC))
    assert before is not None
    assert before["where"] == "in camera bag bag-thea"
    assert [(each["pass"], each["letter"]) for each in before["uses"]] == [
        ("dress", "B"),
        ("first-show", "B"),
        ("second-show", "B"),
    ]
    assert [each["is_next"] for each in before["uses"]] == [True, False, False]
    after = gear.unit(ZOOM, datetime(2028, 1, 1, tzinfo=UTC))
    assert after is not None
    assert not any(each["is_next"] for each in after["uses"])
    assert gear.unit("no-such-thing") is None


def test_the_page_of_a_unit_that_is_not_there_says_so(client: TestClient) -> None:
    """With a way on, and whatever stands in the address is text."""
    answer = client.get("/gear/u/<b>x")
    assert answer.status_code == 404
    assert "<b>x" not in answer.text
    assert "&lt;b&gt;x" in answer.text
    assert "/gear" in answer.text


@pytest.mark.parametrize("unit_id", ["bag-thea/../zoom-16-50-1", "a/.", "a/..", "x//..//y", "a+b/"])
def test_every_id_has_a_page_of_its_own(project: Project, client: TestClient, unit_id: str) -> None:
    """Browsers follow dots in a path: such ids are asked for otherwise, or another unit would open.
    It can be signed out, and its case counted.
    """
    kit = project.brief().kit
    by_id = {unit.id: unit for unit in kit.units}
    thing = by_id["bag-thea"].model_copy(update={"id": unit_id})
    within = by_id[ZOOM].model_copy(update={"id": "within", "case": unit_id})
    assert project.db is not None
    with Store.open(project.db, writing=True, who="Thea") as store:
        store.save_kit(Kit(items=kit.items, units=(*kit.units, thing, within)), replace=True)
    path = path_of(unit_id)
    assert "/../" not in path
    assert f'<p class="large id">{unit_id}</p>' in client.get(path).text
    assert f'href="{path_of(unit_id, COUNT_PATH)}"' in client.get(path).text
    assert f'data-case="{unit_id}"' in client.get(path_of(unit_id, COUNT_PATH)).text
    assert press(client, "out", units=[unit_id], person="Wilf").status_code == 200
    assert f'href="{path}"' in client.get("/gear").text


# -- out and back ----------------------------------------------------------------------------------


def test_out_and_back_leave_their_marks(project: Project, client: TestClient) -> None:
    """The loan belongs to the next pass of the plan, and the ledger says who pressed."""
    answer = press(client, "out", units=[ZOOM], person="Thea", due="2031-05-16")
    assert answer.status_code == 200
    with Store.open(project.db or Path(), writing=False) as store:
        loan = store.loans.holder(ZOOM)
        assert loan is not None
        assert (loan.person, loan.due) == ("Thea", date(2031, 5, 16))
        assert loan.list.startswith("school-dance/") or loan.list == ""
        assert store.ledger.entries(record_id=ZOOM)[-1].who == "Thea"
    assert "Thea</b> has it" in client.get(f"/gear/u/{ZOOM}").text
    assert press(client, "back", units=[ZOOM]).status_code == 200
    with Store.open(project.db or Path(), writing=False) as store:
        assert store.loans.holder(ZOOM) is None


def test_what_goes_out_for_the_plan_stays_there_for_the_plan(
    project: Project, client: TestClient
) -> None:
    """A unit that the plan takes is signed out with its list: planning again does not miss it."""
    gear = Gear(project, Memo())
    use = gear._uses()[ZOOM][0]
    assert use.list_name == "school-dance/dress"
    press(client, "out", units=[ZOOM], person="Thea")
    kit = project.brief().kit
    unit = next(each for each in kit.units if each.id == ZOOM)
    if not use.is_over(datetime.now(UTC)):
        assert unit.away == ()


def test_of_two_people_one_gets_the_last_one(client: TestClient) -> None:
    """At the same moment: one loan, and a clear refusal that names who has it."""
    with ThreadPoolExecutor(2) as pool:
        answers = list(
            pool.map(lambda name: press(client, "out", units=[ZOOM], person=name), ("Ida", "Wilf"))
        )
    assert sorted(each.status_code for each in answers) == [200, 409]
    (lost,) = [each.json() for each in answers if each.status_code == 409]
    holder = client.get("/api/gear/out").json()["people"][0]["person"]
    assert lost["held"][0]["person"] == holder
    assert f"with {holder} since" in lost["error"]
    assert "Nothing was changed" in lost["error"]


def test_all_or_nothing_goes_out(client: TestClient) -> None:
    """Where one of several is gone, the others stay."""
    press(client, "out", units=[ZOOM], person="Ida")
    answer = press(client, "out", units=["prime-35-1", ZOOM], person="Wilf")
    assert answer.status_code == 409
    (ida,) = client.get("/api/gear/out").json()["people"]
    assert [each["unit"] for each in ida["things"]] == [ZOOM]


def test_what_is_not_out_cannot_come_back(client: TestClient) -> None:
    """Two people pressed the same button; the second one is told, and it does no harm."""
    answer = press(client, "back", units=[ZOOM])
    assert answer.status_code == 409
    assert "not signed out" in answer.json()["error"]


def test_a_booking_of_others_can_be_settled_and_passed(
    project: Project, client: TestClient
) -> None:
    """Told with the title of the other shoot; pressed once more it goes out."""
    with Store.open(project.db or Path(), writing=True, who="Ida") as store:
        today = date.today()
        booked = Booked(unit=ZOOM, begins=today, ends=today)
        store.bookings.book(Booking(id="b", title="Spring Fair", booked=(booked,)))
    answer = press(client, "out", units=["zoom-55-200-1", ZOOM], person="Wilf")
    assert answer.status_code == 409
    assert "Spring Fair" in answer.json()["error"]
    assert answer.json()["held"] == []
    assert press(client, "out", units=[ZOOM], person="Wilf", despite=True).status_code == 200


# -- faults ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("state", "condition"), [("worn", "worn"), ("in-repair", "in-repair"), ("missing", "missing")]
)
def test_a_fault_is_written_down_and_mended(
    project: Project, client: TestClient, state: str, condition: str
) -> None:
    """Everybody sees it; pressed again, all is right."""
    answer = press(client, "fault", unit=ZOOM, words="zoom ring sticks", state=state)
    assert answer.status_code == 200
    with Store.open(project.db or Path(), writing=False) as store:
        assert store.units_by_id([ZOOM])[ZOOM].condition == condition
    if condition != "worn":
        assert press(client, "out", units=[ZOOM], person="Ida").status_code == 409
    assert press(client, "right", unit=ZOOM).status_code == 200
    with Store.open(project.db or Path(), writing=False) as store:
        unit = store.units_by_id([ZOOM])[ZOOM]
        assert (unit.condition, unit.fault) == ("good", "")


# -- refusals --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "data",
    [
        {"units": [ZOOM], "person": ""},
        {"units": [ZOOM], "person": 7},
        {"units": [ZOOM], "person": "a\x00b"},
        {"units": [ZOOM], "person": "x" * 81},
        {"units": ZOOM, "person": "Ida"},
        {"units": [7], "person": "Ida"},
        {"units": ["no-such-thing"], "person": "Ida"},
        {"units": ["\ud800"], "person": "Ida"},
        {"units": [ZOOM], "person": "Ida", "due": "tomorrow"},
        {"units": [ZOOM], "person": "Ida", "due": 20270516},
        {"units": [ZOOM], "person": "Ida", "who": " "},
        {"units": [ZOOM], "person": "Ida", "who": "\ud800"},
        {"units": [ZOOM], "person": "Ida", "who": "x" * 100},
    ],
)
def test_what_makes_no_sense_is_refused(client: TestClient, data: dict[str, object]) -> None:
    """In words, and nothing is written."""
    import json

    sent = json.dumps({"who": "Thea", **data})
    headers = {"content-type": "application/json"}
    answer = client.post("/api/gear/out", content=sent, headers=headers)
    assert answer.status_code == 422
    assert answer.json()["error"]
    assert client.get("/api/gear/out").json()["people"] == []


@pytest.mark.parametrize(
    "data",
    [
        {"words": "it sticks", "state": "broken"},
        {"words": "it sticks", "state": ["worn"]},
        {"words": "", "state": "worn"},
        {"words": "x" * 201, "state": "worn"},
        {"words": "a\u2028b", "state": "missing"},
    ],
)
def test_a_fault_without_sense_is_refused(client: TestClient, data: dict[str, object]) -> None:
    """Neither an unknown state nor words that no paper can show get into the inventory."""
    assert press(client, "fault", unit=ZOOM, **data).status_code == 422
    assert client.get(f"/gear/u/{ZOOM}").status_code == 200


@pytest.mark.parametrize("words", HOSTILE)
def test_markup_in_names_stays_text(client: TestClient, words: str) -> None:
    """As borrower, as fault and as what is looked for: shown as it was typed, and nothing else."""
    assert press(client, "out", units=[ZOOM], person=words).status_code == 200
    assert press(client, "fault", unit="prime-35-1", words=words, state="worn").status_code == 200
    for address in ("/gear", f"/gear/u/{ZOOM}", "/gear/u/prime-35-1", "/gear/count/bag-thea"):
        text = client.get(address).text
        assert "<script>alert" not in text
        assert "<img src=x" not in text
        assert "62710561" not in text  # 7919 squared: what a template would have made of it
    assert client.get("/api/gear", params={"find": words}).status_code == 200


def test_nothing_is_signed_without_our_own_page(client: TestClient) -> None:
    """A page of somebody else cannot press our buttons."""
    answer = client.post(
        "/api/gear/out",
        json={"who": "Thea", "units": [ZOOM], "person": "Ida"},
        headers={"origin": "http://elsewhere.example"},
    )
    assert answer.status_code == 403


def test_a_kit_from_a_plain_file_can_be_looked_at(tmp_path: Path) -> None:
    """It says what to do to sign things out."""
    client = client_of(project_in(tmp_path))
    assert found(client, "16-50") == [ZOOM]
    assert "plain file" in client.get(f"/gear/u/{ZOOM}").text
    answer = press(client, "out", units=[ZOOM], person="Ida")
    assert answer.status_code == 422
    assert "kitplan gear import" in answer.json()["error"]


def test_gear_is_there_while_the_shoot_file_does_not_read(
    project: Project, client: TestClient
) -> None:
    """Somebody is typing in it; the truck has to be loaded all the same."""
    project.shoot_path.write_text("title: 3\n", encoding="utf-8")
    assert client.get(f"/gear/u/{ZOOM}").status_code == 200
    assert press(client, "out", units=[ZOOM], person="Ida").status_code == 200
