"""The golden record: what two farms were told, and everything that a person can look at, as it is and as it was.

    cd tests && python -m golden check [--keep FOLDER]     what differs from the record; 1 if anything does
    cd tests && python -m golden record                    make the record anew, in the commit that means to change it

A change that means to change no behaviour leaves all of it as it is, byte for byte: both readings of history, the
log, the notices and worklists, and every page that can be reached, in English and in German. The farms are the demo's
week and a simulated herd of sixty days; both are lived through tick by tick, without sending. What is drawn by chance
(tokens, signatures) is taken out first, and so is the version of style and script, which a change of one template
changes on every page. The record is one line of hashes for each thing; `--keep` writes the things themselves, to be
compared with those of an earlier commit.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import re
import sys
import tempfile
from collections import Counter, deque
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from html import unescape
from pathlib import Path
from urllib.parse import urljoin, urlsplit

from screens import checked, opens
from starlette.testclient import TestClient
from whole.whole_farm import lived_through

from sentinel.demo.clock import StoryClock
from sentinel.demo.farm import arrivals
from sentinel.edges.settings import Secrets, read_texts
from sentinel.edges.store import Store
from sentinel.edges.store.access import PageAccess
from sentinel.edges.store.history import last_tick
from sentinel.edges.store.log import log_entries
from sentinel.edges.store.outbox import all_notices
from sentinel.edges.web import make_app, sign_entry
from sentinel.flow.model import DAY_S, HOUR_S, Tick
from sentinel.flow.setup import Setup, read_setup
from sentinel.flow.views.parts.records import history_record
from sentinel.runtime.farm_folder import Farmyard
from sentinel.runtime.farm_reader import FarmReader
from sentinel.runtime.record.replay import as_arrived, lines, past_of
from sentinel.runtime.service import Service
from sentinel.simulator import HerdSpec, simulate, write_farm

RECORD = Path(__file__).with_name("record.json")
TOP = Path(__file__).parents[2]
KEY = "a key made for the record"
PEOPLE = """\
- person: Marit
  channels: [marit-phone]
  hours: always
  next_after: 20 min
  at_most: 6 per hour
  worklist: yes
- person: Joren
  channels: [joren-phone]
  hours: "06:00-21:00"
  at_most: 6 per hour
"""
HERD = HerdSpec(cows=90, boxes=2, days=60, seed=3)
EACH = 12
"""So many addresses of each kind of page are looked at: of cows, of boxes, of alerts."""

Files = list[tuple[int, str, bytes]]
"""When each export came, its name and its content."""


def main(line: list[str]) -> int:
    """Make or check the record."""
    asked = argparse.ArgumentParser(prog="golden")
    asked.add_argument("what", choices=("check", "record"))
    asked.add_argument("--keep", type=Path)
    given = asked.parse_args(line)
    found = dict(record(given.keep))
    if given.what == "record":
        RECORD.write_text(json.dumps(found, indent=0, sort_keys=True) + "\n", encoding="utf-8")
        return 0
    was = json.loads(RECORD.read_text(encoding="utf-8"))
    differ = sorted(name for name in was.keys() | found.keys() if was.get(name) != found.get(name))
    for name in differ:
        sys.stdout.write(f"{name}: {'changed' if name in was and name in found else 'only on one side'}\n")
    sys.stdout.write(f"{len(found)} things, {len(differ)} differ from the record\n")
    return bool(differ)


def record(keep: Path | None = None) -> Iterator[tuple[str, str]]:
    """Each thing's name and its hash."""
    for name, content in things():
        if keep:
            path = keep / f"{name.replace('?', '-')}.txt"
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(content, encoding="utf-8")
        yield name, hashlib.sha256(content.encode()).hexdigest()[:20]


def things() -> Iterator[tuple[str, str]]:
    """Everything that is recorded: its name and its text."""
    for farm, (texts, files) in (("demo", demo()), ("herd", herd())):
        _say(f"{farm}: {len(files)} exports ...")
        with tempfile.TemporaryDirectory() as folder:
            setup, problems = read_setup(texts)
            assert setup is not None, problems
            store = lived_through(setup, texts, files)
            for name, content in told(store, setup):
                yield f"{farm}/{name}", content
            for language in ("en", "de"):
                _say(f"{farm}: pages in {language} ...")
                for address, content in pages(store, setup, language, Path(folder)):
                    yield f"{farm}/{language}{address}", content
            store.close()


# --- the farms ------------------------------------------------------------------------------------------------


def demo() -> tuple[dict[str, str], Files]:
    """The demo's settings and its week."""
    folder = TOP / "demo_feeds"
    texts = {**read_texts(folder), **_rules(), "people.yaml": PEOPLE}
    found = [(at, name, (folder / "exports" / name).read_bytes()) for at, names in arrivals().items() for name in names]
    return texts, found


def herd() -> tuple[dict[str, str], Files]:
    """A simulated herd's settings and its exports, six hours' at a time."""
    with tempfile.TemporaryDirectory() as made:
        folder = Path(made)
        write_farm(folder, simulate(HERD), False)
        texts = {**read_texts(folder), **_rules(), "people.yaml": PEOPLE}
        exports = sorted((folder / "exports").iterdir(), key=lambda one: (one.stat().st_mtime, one.name))
        span = 6 * HOUR_S
        return texts, [(-(-int(one.stat().st_mtime) // span) * span, one.name, one.read_bytes()) for one in exports]


def _rules() -> dict[str, str]:
    return {f"rules/{path.name}": path.read_text(encoding="utf-8") for path in sorted((TOP / "rules").glob("*.yaml"))}


# --- what they were told --------------------------------------------------------------------------------------


def told(store: Store, setup: Setup) -> Iterator[tuple[str, str]]:
    """Both readings of history, the log, the notices."""
    yield "replay", _text(lines(past_of(store, setup).tried(setup.rules, setup.rules)[0]))
    yield "replay as arrived", _text(lines(as_arrived(store)))
    yield "log", _text(history_record(one) for one in log_entries(store))
    yield "notices", _text([one.id, one.at, one.person, one.alerts, one.title, one.body] for one in all_notices(store))


def _text(records: Iterator[object] | Sequence[object]) -> str:
    return "\n".join(json.dumps(one, ensure_ascii=False, sort_keys=True, default=str) for one in records)


# --- what can be looked at ------------------------------------------------------------------------------------


def pages(store: Store, setup: Setup, language: str, folder: Path) -> Iterator[tuple[str, str]]:
    """Every kind of page that links lead to from the first one, a dozen of each; address and text."""
    farm = replace(setup.farm, language=language)
    at = (last_tick(store) or 0) + 5
    service = Service(Farmyard(folder, replace(setup, farm=farm), Secrets({}), store), StoryClock(at), {})
    service.engine.step(Tick(at))
    link = PageAccess(store).make("Marit", False, at, at + 30 * DAY_S)
    app = make_app(FarmReader(service, service.clock), KEY, service.clock.now)
    with TestClient(app, "http://farm.test", follow_redirects=False) as browser:
        browser.get(sign_entry("", KEY, link.id, link.person))
        seen: set[str] = set()
        kinds: Counter[str] = Counter()
        ahead = deque(["/", "/round/print", "/history.csv", "/history.json", "/more", "/no/such/page"])
        while ahead:
            address = ahead.popleft()
            kind = _kind(address)
            if address in seen or kinds[kind] >= EACH:
                continue
            seen.add(address)
            kinds[kind] += 1
            answer = browser.get(address)
            yield address, f"{answer.status_code}\n{without_chance(answer.text)}"
            if answer.headers.get("content-type", "").startswith("text/html"):
                ahead.extend(_links(answer.text, address))
    missed = [one.address for one in checked("golden") if not any(opens(one, urlsplit(path).path) for path in seen)]
    assert not missed, f"no link leads to {missed}"


def _kind(address: str) -> str:
    """The kind of page behind an address, from its first word and which questions are behind it."""
    parts = urlsplit(address)
    words = parts.path.split("/")
    return "/".join([words[1], str(len(words)), *sorted(part.split("=")[0] for part in parts.query.split("&"))])


def _links(html: str, address: str) -> list[str]:
    found = (urlsplit(urljoin(address, unescape(link))) for link in re.findall(r'href="([^"]+)"', html))
    return [
        f"{one.path}?{one.query}" if one.query else one.path
        for one in found
        if not one.netloc and not one.path.startswith(("/static", "/a/", "/enter"))
    ]


def without_chance(html: str) -> str:
    """A page without what is drawn by chance (form tokens, the names of forms), and without its files' version."""
    html = re.sub(r"(?<=\?v=)[0-9a-f]{12}", "...", html)
    return re.sub(r'((?:name="(?:token|number)"|data-token)[^>]*?value="|data-token=")[^"]*', r"\1...", html)


_say: Callable[[str], object] = lambda line: sys.stderr.write(f"{line}\n")  # noqa: E731

if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
