"""The demo's farm when its week is over: what its phones got, and its page, at the moment the week came to."""

from __future__ import annotations

import json
import os
import threading
from collections.abc import Iterable
from dataclasses import asdict
from pathlib import Path

from sentinel.demo.clock import StoryClock
from sentinel.demo.farm import MARIT
from sentinel.demo.phone import Message
from sentinel.demo.play import Played, running
from sentinel.edges.store.access import PageAccess
from sentinel.edges.terminal import Screen
from sentinel.flow.model import DAY_S
from sentinel.runtime.service import Service
from sentinel.runtime.web_server import own_link, serve

OPEN_FOR_S = 600.0
"""Seconds for which the page stays open if nobody asked for it to."""

MESSAGES_NAME = "phone.jsonl"
"""The file in the farm folder with what the phones got, one message a line."""


def leave_messages(folder: Path, messages: Iterable[Message]) -> Path:
    """Write down what the phones got, links included, as JSON lines that their owner alone can read."""
    path = folder / MESSAGES_NAME
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(handle, "w", encoding="utf-8") as file:
        for message in messages:
            file.write(json.dumps(asdict(message), ensure_ascii=False) + "\n")
    return path


def read_messages(folder: Path) -> list[Message]:
    """What the phones of a demo that was played got, in order."""
    lines = (folder / MESSAGES_NAME).read_text(encoding="utf-8").splitlines()
    return [Message(**json.loads(line)) for line in lines]


def keep_open(console: Screen, played: Played, ended: threading.Event, seconds: float | None = None) -> None:
    """Serve the page of the farm that was played, with a link that opens it as Marit, until `ended` is set.

    With `seconds`, at most for so long.
    """
    clock = StoryClock(played.at)
    service = Service(played.yard, clock, {}, heard=lambda event: None)
    page = serve(service, clock)
    try:
        with running(service):
            with service.before_a_look():
                pass
            made = PageAccess(played.yard.store).make(MARIT, False, clock.now(), clock.now() + 30 * DAY_S)
            console.print()
            console.print(f"The farm's page, as {MARIT} has it on her phone:", style="bold")
            console.print(f"  {own_link(played.yard, made, page.port)}", style="cyan", soft_wrap=True)
            most = "" if seconds is None else f"for {seconds / 60:g} minutes, or "
            console.print(f"It stays open {most}until Ctrl-C.", style="dim")
            ended.wait(seconds)
    finally:
        page.stop()
