"""The farm that a demo left, at work again: its service, its page, and a phone stand-in that gets its notices."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any
from urllib.parse import urlsplit

from sentinel.demo.afterwards import read_messages
from sentinel.demo.clock import StoryClock
from sentinel.demo.farm import JOREN, MARIT, SECRETS
from sentinel.demo.phone import Message, Phone
from sentinel.demo.play import running
from sentinel.edges.settings import SECRETS_NAME, STORE_NAME
from sentinel.edges.store import Store
from sentinel.edges.store.access import PageAccess
from sentinel.edges.store.database import fetch
from sentinel.edges.store.history import last_tick
from sentinel.edges.store.log import entries_after
from sentinel.flow.model import DAY_S, Entry
from sentinel.flow.settings.farm import PagePlan
from sentinel.runtime.farm_folder import Farmyard, load_setup
from sentinel.runtime.service import Service
from sentinel.runtime.web_server import link_maker, own_link, serve


@dataclass(frozen=True, slots=True)
class OpenFarm:
    """A farm at work on a story's clock, its page under `base`, and what its phones got while the week was played."""

    folder: Path
    service: Service
    clock: StoryClock
    base: str
    messages: tuple[Message, ...]

    @property
    def store(self) -> Store:
        """The farm's store."""
        return self.service.store

    def link_in(self, message: Message) -> str:
        """A message's link as the phone got it, but at the port at which the page listens now."""
        return f"{self.base}{urlsplit(message.link).path}"

    def own_link(self) -> str:
        """A link of Marit's own, made now."""
        made = PageAccess(self.store).make(MARIT, False, self.clock.now(), self.clock.now() + 30 * DAY_S)
        return own_link(self.service.yard, made, urlsplit(self.base).port)

    def move_to(self, moment: int) -> None:
        """Let the story come to a moment, and the service look."""
        with self.service.before_a_look():
            self.clock.move_to(moment)

    def said(self, since: int, **wanted: Any) -> list[Entry]:
        """What people said, as the log has it, from an entry on; after the service has looked."""
        self.move_to(self.clock.now() + 1)
        entries = [e for e in entries_after(self.store, since) if e.entry.kind in ("answer", "chore", "photo")]
        return [one.entry for one in entries]

    def told(self) -> int:
        """How far the log has come."""
        return int(fetch(self.store, "select max(seq) from log")[0][0])


@contextmanager
def at_work(left: Path, copy: Path, language: str = "en") -> Iterator[OpenFarm]:
    """A copy of the farm that a demo left, at work at the moment to which its week came, in a language."""
    folder = shutil.copytree(left, copy)
    farm = (folder / "farm.yaml").read_text(encoding="utf-8")
    (folder / "farm.yaml").write_text(f"{farm}language: {language}\n", encoding="utf-8")
    with ExitStack() as stack:
        phone = stack.enter_context(Phone())
        secrets = SECRETS.format(marit=phone.url_for(MARIT), joren=phone.url_for(JOREN))
        (folder / SECRETS_NAME).write_text(secrets, encoding="utf-8")
        setup, found, problems = load_setup(folder, {})
        assert setup is not None and not problems, problems
        setup = replace(setup, farm=replace(setup.farm, page=PagePlan(port=0)))
        store = Store(folder / STORE_NAME)
        stack.callback(store.close)
        clock = StoryClock((last_tick(store) or 0) + 5)
        service = Service(Farmyard(folder, setup, found, store), clock, {}, heard=lambda said: None)
        page = serve(service, clock)
        stack.callback(page.stop)
        service.link = link_maker(service.yard, page.port)
        stack.enter_context(running(service))
        with service.before_a_look():
            pass
        base = f"http://127.0.0.1:{page.port}"
        yield OpenFarm(folder, service, clock, base, tuple(read_messages(folder)))
