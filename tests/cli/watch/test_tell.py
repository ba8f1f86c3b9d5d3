"""`tell`: a test notice by each of a person's channels, beside a running service, and the link in it."""

from __future__ import annotations

import contextlib
import io
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from starlette.testclient import TestClient

from sentinel.cli import main
from sentinel.demo.phone import Phone
from sentinel.edges.clock import Clock
from sentinel.edges.settings import STORE_NAME, page_key
from sentinel.edges.store import Store
from sentinel.edges.store.database import fetch
from sentinel.edges.web import make_app
from sentinel.runtime.farm_folder import Farmyard, load_setup, lock
from sentinel.runtime.farm_reader import FarmReader
from sentinel.runtime.service import Service

FARM = 'name: Tinfield\nzone: UTC\nboxes: ["1"]\n'
ADDRESS = 'page: {address: "https://farm.example/"}\n'
PEOPLE = """\
- person: Marit
  channels: [marit-phone, marit-mail]
  hours: {now: "03:00-03:01", round: "03:00-03:01"}
- person: Onno
  channels: [onno]
"""


class Told(NamedTuple):
    """What the command printed and how it ended."""

    code: int
    out: str
    err: str


def tell(folder: Path, *given: str) -> Told:
    """Run the command."""
    out, err, code = io.StringIO(), io.StringIO(), 0
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            main(["tell", *given, "--farm", str(folder)])
        except SystemExit as end:
            code = end.code if isinstance(end.code, int) else 1
    return Told(code, out.getvalue(), err.getvalue())


@pytest.fixture
def phone() -> Iterator[Phone]:
    """A receiver of notices."""
    with Phone() as found:
        yield found


@pytest.fixture
def folder(tmp_path: Path, phone: Phone) -> Path:
    """A farm folder with two people; Marit's phone answers, and nobody listens at her mail's address."""
    (tmp_path / "farm.yaml").write_text(FARM + ADDRESS)
    (tmp_path / "people.yaml").write_text(PEOPLE)
    (tmp_path / "exports").mkdir()
    secrets = tmp_path / "secrets.yaml"
    secrets.touch(mode=0o600)
    urls = {"marit-phone": phone.url_for("s3cret"), "marit-mail": "json://127.0.0.1:1/s3cret", "onno": phone.url}
    secrets.write_text(json.dumps({"channels": urls}))
    return tmp_path


def kept(folder: Path) -> dict[str, list[tuple[Any, ...]]]:
    """All that is decided by or told from: every table of the store but the page's links."""
    store = Store(folder / STORE_NAME)
    names = [row["name"] for row in fetch(store, "select name from sqlite_master where type = 'table'")]
    found = {n: [tuple(row) for row in fetch(store, f'select * from "{n}"')] for n in names if n != "page_links"}
    store.close()
    return found


def test_each_channel_says_how_it_answered(folder: Path, phone: Phone) -> None:
    """One that delivers, one that does not: each by its name, whatever the person's hours; the command then fails."""
    said = tell(folder, "marit")

    assert said.out.splitlines() == [
        "marit-phone: delivered: taken by the service",
        "marit-mail: failed: no connection, or no sensible answer",
        "The link in it opens the page for a day, while `sentinel run` runs.",
    ]
    assert said.code == 1
    assert [message.to for message in phone.messages] == ["s3cret"]
    assert phone.messages[0].title == "Test from Tinfield"
    assert "Nothing is wrong." in phone.messages[0].body
    for part in ("s3cret", "127.0.0.1", "json:"):
        assert part not in said.out + said.err


def test_where_every_channel_delivers_the_command_ends_well(folder: Path) -> None:
    """For programs: one object a line and the exit code."""
    good, bad = tell(folder, "Onno", "--json"), tell(folder, "Marit", "--json")

    assert good.code == 0
    assert [json.loads(line) for line in good.out.splitlines()] == [
        {"person": "Onno", "channel": "onno", "state": "delivered", "detail": "taken by the service"}
    ]
    assert bad.code == 1
    assert [json.loads(line)["state"] for line in bad.out.splitlines()] == ["delivered", "failed"]


def test_it_works_beside_a_running_service_and_changes_nothing_that_is_decided_by(folder: Path) -> None:
    """Another sentinel holds the folder: the notice goes out, and no alert, notice or log entry is written."""
    kept(folder)
    taken = lock(folder)
    before = kept(folder)
    said = tell(folder, "Onno")
    after = kept(folder)
    taken.release()

    assert said.code == 0
    assert before == after


def test_the_link_in_it_opens_the_page_as_that_person(folder: Path, phone: Phone) -> None:
    """Where farm.yaml names the page's address; for a day."""
    assert tell(folder, "Onno").code == 0
    link = phone.messages[0].link
    setup, secrets, problems = load_setup(folder, {})
    assert setup is not None, problems
    store = Store(folder / STORE_NAME)
    service = Service(Farmyard(folder, setup, secrets, store), Clock(), {}, heard=lambda said: None)
    app = make_app(FarmReader(service, service.clock), page_key(folder), service.clock.now, secure=True)
    opened = TestClient(app, base_url="https://farm.example").get(link)
    [made] = fetch(store, "select person, read_only, until - made_at as seconds from page_links")
    store.close()

    assert link.startswith("https://farm.example/enter/")
    assert (opened.status_code, "Onno" in opened.text) == (200, True)
    assert tuple(made) == ("Onno", 0, 86400)


def test_without_an_address_of_the_page_no_link_goes_with_it(folder: Path, phone: Phone) -> None:
    """It would open nothing on a phone; the command says what is missing."""
    (folder / "farm.yaml").write_text(FARM)
    said = tell(folder, "Onno")

    assert "No link went with it: farm.yaml names no address by which phones reach the page" in said.out
    assert phone.messages[0].link == ""
    assert "link" not in phone.messages[0].body


def test_it_is_said_in_the_farms_language(folder: Path, phone: Phone) -> None:
    """The notice is for a person of the farm."""
    (folder / "farm.yaml").write_text(FARM + ADDRESS + 'language: de\ndecimal: ","\n')
    assert tell(folder, "Onno").code == 0

    assert phone.messages[0].title == "Probe von Tinfield"
    assert "Es liegt nichts vor." in phone.messages[0].body


def test_somebody_unknown_is_refused_with_what_would_be_right(folder: Path, phone: Phone) -> None:
    """Nothing is sent to anybody."""
    said = tell(folder, "Onna")

    assert (said.code, 'did you mean "Onno"?' in said.err) == (2, True)
    assert phone.messages == []
