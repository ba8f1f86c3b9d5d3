"""The demo's farm folder: the invented farm, two invented people, and the phone stand-in as their phones."""

from __future__ import annotations

import csv
import os
import shutil
import socket
from datetime import datetime
from pathlib import Path

from sentinel.demo.phone import Phone
from sentinel.edges.settings import SECRETS_NAME, shipped
from sentinel.errors import UsageError

MARIT, JOREN = "Marit", "Joren"

PEOPLE = f"""\
# Two invented people. Marit walks the rounds; Joren is told when she has not answered for 20 minutes.
- person: {MARIT}
  channels: [marit-phone]
  hours: always
  next_after: 20 min
  at_most: 6 per hour
  worklist: yes
- person: {JOREN}
  channels: [joren-phone]
  hours: "06:00-21:00"
  at_most: 6 per hour
"""

SECRETS = """\
# Where the demo's phone stand-in listened. To be told on a real phone, put its address here, as Apprise writes it.
channels:
  marit-phone: "{marit}"
  joren-phone: "{joren}"
"""

PAGE_PORT = 8710


def make_farm(folder: Path, phone: Phone) -> None:
    """Make the demo's farm folder; its export folder is still empty. UsageError if something is there already."""
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise UsageError(f"{folder} is not empty; name a new folder for the demo's farm")
    demo = shipped("demo_feeds")
    folder.mkdir(parents=True, exist_ok=True)
    port = _free_port()
    farm = (demo / "farm.yaml").read_text(encoding="utf-8")
    if port != PAGE_PORT:
        farm += f"page: {{port: {port}}}\n"
    (folder / "farm.yaml").write_text(farm, encoding="utf-8")
    (folder / "people.yaml").write_text(PEOPLE, encoding="utf-8")
    handle = os.open(folder / SECRETS_NAME, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
    with os.fdopen(handle, "w", encoding="utf-8") as file:
        file.write(SECRETS.format(marit=phone.url_for(MARIT), joren=phone.url_for(JOREN)))
    for room, source in (("feeds", demo / "feeds"), ("rules", shipped("rules"))):
        (folder / room).mkdir()
        for path in sorted(source.iterdir()):
            if path.suffix in (".yaml", ".json"):
                shutil.copyfile(path, folder / room / path.name)
    (folder / "exports").mkdir()


def _free_port() -> int:
    """The page's usual port, or any free one if that is taken."""
    for port in (PAGE_PORT, 0):
        try:
            with socket.create_server(("127.0.0.1", port)) as listener:
                return int(listener.getsockname()[1])
        except OSError:
            continue
    raise UsageError("no port is free on this machine for the page on which alerts are answered")


def arrivals() -> dict[int, list[str]]:
    """When each export of the week appears: file names by moment (UTC seconds), in order."""
    files_by_moment: dict[int, list[str]] = {}
    with (shipped("demo_feeds") / "arrivals.csv").open(encoding="utf-8", newline="") as file:
        for row in csv.DictReader(file):
            moment = int(datetime.fromisoformat(row["arrives_at"]).timestamp())
            files_by_moment.setdefault(moment, []).append(row["file"])
    return dict(sorted(files_by_moment.items()))


def drop(inbox: Path, name: str, stamp: float) -> None:
    """Let one export appear as herd computers do it: written under another name, stamped, then renamed in."""
    unfinished = inbox / f".{name}.part"
    shutil.copyfile(shipped("demo_feeds") / "exports" / name, unfinished)
    os.utime(unfinished, (stamp, stamp))
    os.replace(unfinished, inbox / name)
