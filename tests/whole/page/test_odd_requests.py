"""Whatever is asked or sent, by whom ever: a page, or a clear refusal (4xx). Never a failure of the program.

Against a real store, as SQLite, not Python, is what numbers and texts must fit into at last. The app is asked as a
web server would ask it, as a client's library would not let most of this through.
"""

from __future__ import annotations

import asyncio
import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import quote

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from odd_requests import KINDS_OF_BODY, Asked, addresses, forms, headers, kept, noise, routes, taking

from sentinel.demo.clock import StoryClock
from sentinel.edges.clock import Clock
from sentinel.edges.settings import STORE_NAME
from sentinel.edges.store import Store
from sentinel.edges.store.access import PageAccess
from sentinel.edges.store.alerts import save_alerts
from sentinel.edges.store.inputs import waiting_inputs
from sentinel.edges.web import make_app, sign_link
from sentinel.edges.web.auth.guard import HEADERS
from sentinel.edges.web.auth.links import form_token, new_session, sign_session
from sentinel.flow.model import Alert, Answer
from sentinel.runtime.farm_folder import Farmyard, load_setup
from sentinel.runtime.farm_reader import FarmReader
from sentinel.runtime.service import Service

KEY = "a key made for this test, long enough"
FARM = """\
name: Test farm
zone: Europe/Dublin
boxes: ["1", "2"]
chores:
  wire: {places: [east]}
"""
RULES = """\
- rule: box-failures
  measure: failed_attachments
  per: box
  options: {within: 6 h}
  raise_over: 5 failures
  urgency: now
  say: "Box {box}: {value} in 6 h"
  findings: [optics dirty, arm out of line]
"""


@dataclass
class Page:
    """A farm's page, and what somebody known to it carries."""

    app: Any
    service: Service
    cookie: str
    token: str
    notice: str

    def ask(self, method: str, path: str, query: str = "", body: bytes = b"", **headers: str) -> tuple[int, bytes]:
        """The status and the body of the answer; whatever the app fails with is raised here."""
        return asyncio.run(self._ask(method, path, query, body, headers))

    async def _ask(self, method: str, path: str, query: str, body: bytes, headers: dict[str, str]) -> tuple[int, bytes]:
        told = {"host": "farm.test", **{name.replace("_", "-").lower(): value for name, value in headers.items()}}
        scope = {
            "type": "http",
            "http_version": "1.1",
            "method": method,
            "scheme": "http",
            "server": ("farm.test", 80),
            "client": ("192.0.2.1", 5),
            "root_path": "",
            "path": path,
            "raw_path": quote(path).encode(),
            "query_string": query.encode(),
            "headers": [(name.encode(), value.encode("latin-1", "replace")) for name, value in told.items()],
        }
        sent, answer = iter([{"type": "http.request", "body": body, "more_body": False}]), []

        async def receive() -> dict[str, Any]:
            return next(sent, {"type": "http.disconnect"})

        async def send(message: Any) -> None:
            answer.append(message)

        await self.app(scope, receive, send)
        assert dict(answer[0]["headers"])[b"content-security-policy"] == HEADERS["Content-Security-Policy"].encode()
        return answer[0]["status"], b"".join(part.get("body", b"") for part in answer[1:])

    def put(self, asked: Asked) -> tuple[int, bytes]:
        """The same, of a request that was drawn."""
        headers = self.known(**asked.headers) if asked.known else asked.headers
        return self.ask(asked.method, asked.path, asked.query, asked.body, **headers)

    def known(self, **headers: str) -> dict[str, str]:
        """The headers of a phone that is known."""
        return {"cookie": f"sentinel={self.cookie}", "x_form_token": self.token, **headers}


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Page]:
    """A farm with an alert that stands and one person, whose session has begun."""
    folder: Path = tmp_path_factory.mktemp("odd")
    (folder / "farm.yaml").write_text(FARM)
    (folder / "people.yaml").write_text("- person: Marit\n  channels: [marit]\n- person: Onno\n  channels: [marit]\n")
    (folder / "secrets.yaml").touch(0o600)
    (folder / "secrets.yaml").write_text('channels: {marit: "json://127.0.0.1:1/"}\n')
    (folder / "rules").mkdir()
    (folder / "rules" / "boxes.yaml").write_text(RULES)
    (folder / "exports").mkdir()
    setup, secrets, problems = load_setup(folder, {})
    assert setup is not None, problems
    store = Store(folder / STORE_NAME)
    service = Service(Farmyard(folder, setup, secrets, store), StoryClock(Clock().now() + 5), {})
    service.catch_up()
    at = service.clock.now()
    save_alerts(store, [Alert(1, "box-failures", "box:2", at - 60, at - 600, "now", "Box 2: 5 failed attachments")])
    link = PageAccess(store).make("Marit", False, at, at + 10**6)
    session = new_session("Marit", link.id, at)
    app = make_app(FarmReader(service, service.clock), KEY, service.clock.now)
    notice = sign_link("", KEY, 1, "Marit", at)
    yield Page(app, service, sign_session(session, KEY), form_token(session, KEY), notice)
    store.close()


quick = settings(deadline=None, max_examples=150, suppress_health_check=[HealthCheck.function_scoped_fixture])


@quick
@given(st.data())
def test_every_address_with_anything_in_it(page: Page, data: st.DataObject) -> None:
    """All routes, with odd names and numbers in the address and behind it, with and without access."""
    asked = data.draw(addresses(routes(page.app)))
    status, _ = page.put(asked)

    if asked.path == "/health":
        assert status in (405, 503)  # no look was made here: that is what it is to say, to anybody
        return
    assert status < 500
    if not asked.known:
        assert status in (200, 303, 400, 401, 404, 405, 410, 429)


@quick
@given(st.data())
def test_every_form_with_anything_in_it(page: Page, data: st.DataObject) -> None:
    """Forms of alerts, of the round and of a notice's link, with odd fields, half of them with the right token."""
    status, _ = page.put(data.draw(forms(page.token, page.notice)))

    assert status in (200, 303, 400, 401, 403, 404)


@quick
@given(kept())
def test_one_bad_thing_that_a_phone_kept_does_not_stop_the_others(page: Page, given: tuple[Asked, str]) -> None:
    """Whatever stands in one of them, the good one beside it is taken, and each is answered."""
    asked, good = given
    status, answer = page.put(asked)

    assert status == 200
    said = json.loads(answer)["said"]
    assert len(said) == 2
    assert [one["state"] for one in said if one["number"] == good] in (["taken"], ["already"])  # drawn twice


@quick
@given(noise, st.booleans())
def test_bytes_that_are_nothing(page: Page, body: bytes, known: bool) -> None:
    """Sent to whatever takes something."""
    for path in taking(page.notice):
        for kind in KINDS_OF_BODY:
            told = {"content_type": kind} if known else {}
            status, _ = page.put(Asked("POST", path, "", body, told, known))
            assert status in ((200, 303, 400, 401, 403, 404) if known or path == "/leave" else (200, 400, 401, 403))


@quick
@given(headers())
def test_headers_of_any_kind(page: Page, asked: Asked) -> None:
    """Hosts and origins that are no addresses, cookies cut short, tokens in any script."""
    status, _ = page.put(asked)

    assert status in (200, 303, 400, 401, 403, 404, 405, 429)


# --- the ones that were found ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("path", "query"),
    [
        (f"/alert/{2**63}", ""),
        ("/alert/" + "9" * 5000, ""),
        ("/history", "alert=" + str(2**63)),
        ("/history", "alert=%C2%B2"),
        ("/history", "to=9999-12-31"),
        ("/history", "from=0001-01-01"),
        ("/history.csv", "from=0001-01-01"),
        ("/static/" + "a" * 300 + ".css", ""),
    ],
)
def test_numbers_and_days_past_what_can_be_held(page: Page, path: str, query: str) -> None:
    """An alert of a number that SQLite cannot hold is not there; a day at the end of the calendar is none."""
    status, _ = page.ask("GET", path, query, **page.known())

    assert status in (400, 404)


@pytest.mark.parametrize(
    "fields",
    [
        {"alert": [17]},
        {"alert": 2**63},
        {"alert": "9" * 5000},
        {"alert": float("inf")},
        {"alert": "²"},
        {"alert": True},
        {"alert": 1.5},
        {"alert": 1, "at": float("inf")},
        {"alert": 1, "at": [1]},
        {"alert": 1, "kind": "put-off", "until": "²"},
        {"alert": 1, "kind": "put-off", "until": [5]},
        {"alert": 1, "note": {"a": [1]}},
        {"alert": 1, "number": ["kept"]},
        {"alert": 1, "person": ["Marit"]},
    ],
    ids=lambda fields: str(fields)[:60],
)
def test_what_is_no_number_or_text_is_said_to_be_unread(page: Page, fields: dict[str, Any]) -> None:
    """Lists where a number is meant, infinities, digits that are none; the next in the list is taken."""
    good = {"number": f"good-{hash(str(fields)) % 10**12:012}", "kind": "done", "chore": "wire", "place": "east"}
    body = json.dumps({"items": [{"number": "bad-0000001", **fields}, good]}).encode()
    status, answer = page.ask("POST", "/kept", "", body, **page.known())
    first, second = json.loads(answer)["said"]

    assert status == 200
    assert (first["state"], second["state"]) == ("refused", "taken")
    assert first["text"] == "It could not be read."


def test_half_a_character_and_controls_in_a_note_are_kept_readable(page: Page) -> None:
    """A phone that cuts an emoji in two sends half of it; the note is taken with a mark in its place."""
    item = {"number": "half-00000001", "alert": 1, "finding": "", "note": "wiped \ud83d\x00 it"}
    status, answer = page.ask("POST", "/kept", "", json.dumps({"items": [item]}).encode(), **page.known())
    [said] = json.loads(answer)["said"]

    assert (status, said["state"]) == (200, "taken")
    notes = [one.note for one in waiting_inputs(page.service.store)[0] if isinstance(one, Answer)]
    assert "wiped � it" in notes


def test_lists_in_lists_in_lists_are_refused(page: Page) -> None:
    """Deeper than can be read."""
    body = b'{"items": ' + b"[" * 30_000 + b"]" * 30_000 + b"}"

    assert page.ask("POST", "/kept", "", body, **page.known())[0] == 400


@pytest.mark.parametrize("charset", ["idna", "raw_unicode_escape", "utf-7", "rot13", "no-such", "utf-16", "undefined"])
def test_a_form_in_any_charset_that_a_stranger_names(page: Page, charset: str) -> None:
    """Python knows some that are none."""
    part = b'--x\r\nContent-Disposition: form-data; name="number"\r\n\r\n\\ud800\xff..\r\n--x--\r\n'
    kind = f"multipart/form-data; boundary=x; charset={charset}"

    assert page.ask("POST", "/kept/photo", "", part, **page.known(content_type=kind))[0] in (200, 400)


def test_a_list_of_fifty_long_notes_is_taken_whole(page: Page) -> None:
    """In a script that takes three bytes a character: a phone cannot make its list any shorter."""
    items = [{"number": f"long-{n:08}", "alert": 1, "note": "牛" * 1000, "finding": ""} for n in range(50)]
    body = json.dumps({"items": items}, ensure_ascii=False).encode()
    status, answer = page.ask("POST", "/kept", "", body, **page.known())

    assert status == 200
    assert {one["state"] for one in json.loads(answer)["said"]} == {"taken"}
