"""A real service with a round of thirteen chores, its page served as slowly as one likes, and phones that open it."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from browsers import Phones

from sentinel.demo.phone import Phone
from sentinel.demo.play import running, wait_until
from sentinel.edges.clock import Clock
from sentinel.edges.settings import SECRETS_NAME, STORE_NAME
from sentinel.edges.store import Store
from sentinel.edges.store.access import PageAccess
from sentinel.edges.store.log import log_entries
from sentinel.edges.store.rows import all_rows
from sentinel.edges.web import WebServer, make_app, sign_entry
from sentinel.flow.model import DAY_S, HOUR_S
from sentinel.flow.tables import CHORES
from sentinel.runtime.farm_folder import Farmyard, load_setup
from sentinel.runtime.farm_reader import FarmReader
from sentinel.runtime.service import Service

KEY = "a key made for this test"
FARM = """\
name: Tinfield
zone: UTC
boxes: ["1", "2", "3"]
rounds: ["{round}"]
chores:
  filter: {places: boxes, takes: 5 min}
  wash: {places: boxes, takes: 10 min}
  optics: {places: boxes, takes: 2 min}
  arm: {places: boxes, takes: 3 min}
  wire: {places: [east], takes: 10 min}
"""
RULES = """\
- rule: chore-due
  measure: hours_since_chore
  raise_over: 26 h
  urgency: round
  say: "{chore} {place}: not recorded for {value}"
"""
PEOPLE = "- person: Marit\n  channels: [marit-phone]\n- person: Onno\n  channels: [onno-phone]\n"
ALL = {f"{chore}/{box}" for box in "123" for chore in ("filter", "wash", "optics", "arm")} | {"wire/east"}


class Slow:
    """An app that lets every request of some kinds wait so many seconds before it is taken up."""

    def __init__(self, app: Any) -> None:
        self.app = app
        self.delay_s = 0.0
        self.posts_only = False

    async def __call__(self, scope: Any, receive: Any, send: Any) -> None:
        """Wait, then do as asked."""
        page = scope["type"] == "http" and not scope["path"].startswith("/static/")
        if self.delay_s and page and (scope["method"] == "POST" or not self.posts_only):
            await asyncio.sleep(self.delay_s)
        await self.app(scope, receive, send)


class RoundFarm(Phones):
    """The farm at work, and phones."""

    def __init__(self, browser: Any, folder: Path, rules: str, receiver: Phone) -> None:
        super().__init__(browser)
        (folder / "rules").mkdir(parents=True)
        (folder / "exports").mkdir()
        (folder / "feeds").mkdir()
        self.clock = Clock()
        # The round is half an hour ahead whatever time of day it is, and what is due in an hour is for no earlier one.
        soon = datetime.fromtimestamp(self.clock.now() + HOUR_S // 2, UTC)
        (folder / "farm.yaml").write_text(FARM.replace("{round}", f"{soon:%H:%M}"))
        (folder / "people.yaml").write_text(PEOPLE)
        (folder / "rules" / "chores.yaml").write_text(rules)
        urls = "".join(f'  {who.lower()}-phone: "{receiver.url_for(who)}"\n' for who in ("Marit", "Onno"))
        (folder / SECRETS_NAME).touch(mode=0o600)
        (folder / SECRETS_NAME).write_text(f"channels:\n{urls}")
        setup, found, problems = load_setup(folder, {})
        assert setup is not None and not problems, problems
        self.store = Store(folder / STORE_NAME)
        self.store.put_meta("watched_since", str(self.clock.now() - 25 * HOUR_S))
        self.service = Service(Farmyard(folder, setup, found, self.store), self.clock, {}, heard=lambda said: None)
        self.slow = Slow(make_app(FarmReader(self.service, self.clock), KEY, self.clock.now))
        self.page = WebServer(self.slow, "127.0.0.1", 0)
        self.page.start()
        self.base = f"http://127.0.0.1:{self.page.port}"

    def own_link(self, person: str = "Marit") -> str:
        """A person's own link."""
        made = PageAccess(self.store).make(person, False, self.clock.now(), self.clock.now() + 30 * DAY_S)
        return sign_entry(self.base, KEY, made.id, person)

    def on_round(self, person: str = "Marit", **given: Any) -> Any:
        """A phone with the round's page open."""
        tab = self.phone(self.own_link(person), **given)
        tab.goto(f"{self.base}/round")
        return tab

    def records(self) -> list[str]:
        """The chores that count as done, each record once: `filter/2`; as the service has them once it has looked."""
        with self.service.before_a_look():
            pass
        kept = all_rows(self.store, CHORES)
        return sorted(f"{chore}/{place}" for chore, place in zip(kept["chore"], kept["place"], strict=True))

    def logged(self, kind: str) -> list[str]:
        """Whom the log's entries of a kind are about, in order."""
        return [one.entry.subject.removeprefix("chore:") for one in log_entries(self.store, kind=kind)]

    def wait_for(self, so: Callable[[], bool], what: str) -> None:
        """Wait until something is so at the farm."""
        assert wait_until(so, 30), what


@contextmanager
def farm_with_round(browser: Any, folder: Path, rules: str = RULES) -> Iterator[RoundFarm]:
    """The farm at work until the end; no script may have failed nor anything been refused."""
    with ExitStack() as stack:
        farm = RoundFarm(browser, folder, rules, stack.enter_context(Phone()))
        stack.callback(farm.store.close)
        stack.callback(farm.page.stop)
        stack.enter_context(running(farm.service))
        with farm.service.before_a_look():
            pass
        yield farm
        farm.close()
