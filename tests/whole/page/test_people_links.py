"""Own links from the command to the page of a running farm: made, used, listed, withdrawn; and said once."""

from __future__ import annotations

import io
import json
import re
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from PIL import Image
from starlette.testclient import TestClient

from sentinel.cli import main
from sentinel.demo.clock import StoryClock
from sentinel.edges.clock import Clock
from sentinel.edges.settings import STORE_NAME, page_key
from sentinel.edges.store import Store
from sentinel.edges.store.inputs import waiting_inputs
from sentinel.edges.web import Unkept, make_app
from sentinel.flow.model import Alert, Answer, Chore
from sentinel.runtime.farm_folder import Farmyard, load_setup
from sentinel.runtime.farm_reader import FarmReader
from sentinel.runtime.service import Service

FARM = """\
name: Test farm
zone: UTC
boxes: ["1"]
chores:
  wire: {places: [east]}
page: {address: "https://farm.example/"}
"""
PEOPLE = """\
- person: Marit
  channels: [marit]
- person: Onno
  channels: [onno]
"""


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A farm folder with two people and no rules."""
    (tmp_path / "farm.yaml").write_text(FARM)
    (tmp_path / "people.yaml").write_text(PEOPLE)
    secrets = tmp_path / "secrets.yaml"
    secrets.touch(mode=0o600)
    secrets.write_text('channels: {marit: "json://127.0.0.1:1/", onno: "json://127.0.0.1:1/"}\n')
    (tmp_path / "exports").mkdir()
    return tmp_path


@pytest.fixture
def service(folder: Path) -> Iterator[Service]:
    """The farm's service, which has looked once."""
    setup, secrets, problems = load_setup(folder, {})
    assert setup is not None, problems
    store = Store(folder / STORE_NAME)
    found = Service(Farmyard(folder, setup, secrets, store), StoryClock(Clock().now() + 5), {})
    found.catch_up()
    yield found
    store.close()


def run(folder: Path, capsys: pytest.CaptureFixture[str], *given: str) -> str:
    """What a command prints; a refusal is told as its words."""
    try:
        main(["people", *given, "--farm", str(folder)])
    except SystemExit as ended:
        said = capsys.readouterr()
        assert bool(ended.code) == bool(said.err)
        return " ".join((said.out or said.err).split())
    raise AssertionError("a command always ends by saying how")


def phone(service: Service) -> TestClient:
    """A browser on the farm's page."""
    app = make_app(FarmReader(service, service.clock), page_key(service.yard.folder), service.clock.now, secure=True)
    return TestClient(app, base_url="https://farm.example")


def test_a_link_is_made_used_and_withdrawn(folder, service, capsys):
    """It opens the page as that person until it is withdrawn; then neither it nor what it opened does."""
    link = run(folder, capsys, "link", "marit")
    browser = phone(service)

    assert link.startswith("https://farm.example/enter/")
    assert browser.get(link).status_code == 200
    assert "You are Marit." in browser.get("/more").text
    assert "last opened" in run(folder, capsys, "links")
    assert run(folder, capsys, "withdraw", "1") == "Link 1 of Marit no longer opens anything."
    assert browser.get("/").status_code == 401
    assert browser.get(link).status_code == 410


def test_a_link_for_a_guest_looks_only_and_ends_with_its_day(folder, service, capsys):
    """The last day counts whole, on the farm's calendar; a guest need not be in people.yaml."""
    day = (datetime.now(UTC) + timedelta(days=2)).date()  # noqa: TID251
    link = run(folder, capsys, "link", "A vet", "--read-only", "--until", day.isoformat())
    [told] = [json.loads(line) for line in run(folder, capsys, "links", "--json").splitlines()]
    browser = phone(service)
    browser.get(link)

    assert (told["person"], told["read_only"], told["opens"]) == ("A vet", True, True)
    assert told["until"] == f"{day + timedelta(days=1)}T00:00:00Z"
    assert link not in json.dumps(told)
    assert "You can look, but not answer." in browser.get("/more").text


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (("link", "Nobody"), "is not in people.yaml"),
        (("link", "Marit", "--until", "soon"), "'soon' is not a date; write it like 2026-06-30"),
        (("link", "Marit", "--until", "2020-01-01"), "2020-01-01 is already past"),
        (("withdraw", "9"), "there is no link 9"),
        (("withdraw", "Nobody"), "is not in people.yaml"),
        (("link", " ", "--read-only"), "say whose link it is for"),
    ],
)
def test_what_cannot_be_is_said_in_words(folder, capsys, given, said):
    """A name that is not listed, a day that is none or over, a number that is not there."""
    assert said in run(folder, capsys, *given)


def test_withdrawing_a_person_shuts_the_notices_that_were_sent_too(folder, service, capsys):
    """For a phone that was lost."""
    shown = FarmReader(service, service.clock)
    sent = service.clock.now() - 60
    assert shown.access("Marit", 0, sent) is not None

    assert "Nothing that Marit was given or sent" in run(folder, capsys, "withdraw", "Marit")
    assert shown.access("Marit", 0, sent) is None
    assert shown.access("Onno", 0, sent) is not None
    assert shown.access("Marit", 0, service.clock.now() + 60) is not None


def test_what_is_said_twice_under_one_number_is_left_once(service):
    """The answer or chore and its number are written together or not at all."""
    shown = FarmReader(service, service.clock)
    at = service.clock.now()
    chore, answer = Chore("wire", "east", at, "Marit"), Answer(1, at, "Marit", hand_to="Onno")

    assert [shown.take("Marit/1", chore, "Noted."), shown.take("Marit/1", chore, "Again.")] == [None, "Noted."]
    assert shown.take("Marit/2", answer, "Handed.") is None
    assert waiting_inputs(service.store)[:2] == ((answer,), (chore,))


def test_a_photo_sent_twice_under_one_number_is_in_the_log_once(service):
    """With when it was taken; what is no picture leaves nothing, not even its number."""
    shown, at = FarmReader(service, service.clock), service.clock.now()
    alert = Alert(1, "box-failures", "box:1", at, at, "now", "Box 1")
    taken = io.BytesIO()
    Image.new("RGB", (40, 20)).save(taken, "PNG")
    sent = [("Marit/1", b"no picture"), ("Marit/1", taken.getvalue()), ("Marit/1", taken.getvalue())]

    assert [shown.put_photo(alert, "Marit", what, number, at - 600, "Thank you.") for number, what in sent] == [
        Unkept(),
        None,
        None,
    ]
    [entry] = [one.entry for one in shown.log(kind="photo")]
    assert (entry.alert, entry.person, entry.body["taken_at"]) == (1, "Marit", at - 600)
    assert shown.photo(entry.body["file"])
    assert shown.said_of("Marit/1") == "Thank you."


def test_a_chore_ticked_on_the_page_is_in_the_log_after_the_next_look(folder, service, capsys):
    """With who ticked it."""
    browser = phone(service)
    browser.get(run(folder, capsys, "link", "Onno"))
    [token] = set(re.findall(r'name="token" value="(\w+)"', browser.get("/more").text))
    browser.post("/round", data={"token": token, "kind": "done", "chore": "wire", "place": "east"})
    service.catch_up()

    [entry] = [one.entry for one in FarmReader(service, service.clock).log(kind="chore")]
    assert (entry.subject, entry.person) == ("chore:wire/east", "Onno")
