"""A bound written from the page of a running farm: into its file, and put back."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from page_farm import text_of
from starlette.testclient import TestClient

from sentinel.demo.clock import StoryClock
from sentinel.edges.settings import STORE_NAME
from sentinel.edges.store import Store
from sentinel.edges.store.access import PageAccess
from sentinel.edges.store.log import log_entries
from sentinel.edges.web import make_app, sign_entry
from sentinel.flow.model import DAY_S
from sentinel.runtime.farm_folder import Farmyard, load_setup
from sentinel.runtime.farm_reader import FarmReader
from sentinel.runtime.service import Service

KEY, BASE = "a key made for this test", "http://farm.test"
AT = 1_777_881_600
FARM = 'name: Testhof\nzone: UTC\nboxes: ["1"]\nlanguage: de\n'
PEOPLE = "- person: Marit\n  channels: []\n  tunes: yes\n"
RULES = """\
- rule: late-cow
  measure: hours_since_milking
  raise_over: 14 h  # common practice
  now_over: 18 h
  urgency: round
  say: "Cow {cow}"
"""
TUNE = "/rules/late-cow/tune"


@pytest.fixture
def service(tmp_path: Path) -> Iterator[Service]:
    """A farm with one rule, which has looked once."""
    for name, text in (("farm.yaml", FARM), ("people.yaml", PEOPLE), ("rules/cows.yaml", RULES)):
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(text)
    (tmp_path / "exports").mkdir()
    setup, secrets, problems = load_setup(tmp_path, {})
    assert setup is not None, problems
    store = Store(tmp_path / STORE_NAME)
    found = Service(Farmyard(tmp_path, setup, secrets, store), StoryClock(AT), {})
    found.catch_up()
    yield found
    store.close()


def marit(service: Service) -> TestClient:
    """Her phone, opened by her own link."""
    number = PageAccess(service.store).make("Marit", False, AT, AT + DAY_S).id
    browser = TestClient(make_app(FarmReader(service, service.clock), KEY, service.clock.now), base_url=BASE)
    browser.get(sign_entry(BASE, KEY, number, "Marit"))
    return browser


def form_in(html: str) -> dict[str, str]:
    """What the page's forms would send without being filled in."""
    return dict(re.findall(r'type="hidden" name="([a-z.0-9]+)" value="([^"]*)"', html))


def test_it_stands_in_the_file_and_is_put_back(service: Service) -> None:
    """With the bound that must move along; in the farm's language, also what is refused."""
    phone, rules = marit(service), service.yard.folder / "rules" / "cows.yaml"
    fields = {**form_in(phone.get(f"{TUNE}?n=35&write=yes").text), "why": "zu viele"}
    written = text_of(phone.post(TUNE, data=fields).text)
    after = rules.read_text()
    setup, _, problems = load_setup(service.yard.folder, {})

    assert fields["before.0"] == "14 h"
    assert after == RULES.replace("14 h", fields["value.0"]).replace("18 h", fields["value.1"])
    assert "Gilt ab dem nächsten Blick, in Sekunden." in written
    assert setup is not None, problems
    assert f"{setup.rules['late-cow'].raise_over:g} h" == fields["value.0"]
    assert "inzwischen" in text_of(phone.post(TUNE, data=fields).text)
    assert rules.read_text() == after

    [logged] = log_entries(service.store, kind="rule-edited")
    undo = {"token": fields["token"], "undo": str(logged.seq)}
    phone.post(TUNE, data=undo)
    assert rules.read_text() == RULES
    assert "ist schon zurückgenommen" in text_of(phone.post(TUNE, data=undo).text)
    assert len(log_entries(service.store, kind="rule-edited")) == 2


def test_what_was_changed_while_it_was_written_says_so(service: Service, monkeypatch: pytest.MonkeyPatch) -> None:
    """Between reading the file and writing it."""
    phone, rules = marit(service), service.yard.folder / "rules" / "cows.yaml"
    fields = {**form_in(phone.get(f"{TUNE}?n=22&write=yes").text), "why": "zu viele"}
    monkeypatch.setattr(
        "sentinel.runtime.rule_edits.run_examples", lambda *given: rules.write_text(RULES + "# mine\n") and []
    )
    refused = text_of(phone.post(TUNE, data=fields).text)

    assert "rules/cows.yaml wurde inzwischen geändert; sieh es noch einmal an" in refused
    assert rules.read_text() == RULES + "# mine\n"
    assert log_entries(service.store, kind="rule-edited") == []
