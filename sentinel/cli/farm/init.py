"""`init`: makes a farm folder with the rules that ship."""

from __future__ import annotations

import os
import shutil
from pathlib import Path
from typing import Annotated

import typer

from sentinel.cli.base import out
from sentinel.edges.settings import SECRETS_NAME, page_key, shipped

FARM = """\
# {name}: what the farm is. `sentinel check` says what is wrong with any file here.
name: {name}
zone: {zone}              # of the farm's clock, and of exports' times that name none
decimal: "."                     # how numbers are written on the phone: "." or ","
language: en                     # of all that people are told: en or de
inbox: exports                   # where the herd computer drops its exports; they are only ever read
boxes: ["1", "2"]
rounds: ["06:30", "16:30"]       # the list of what waits is sent a quarter of an hour before
chores:                          # an event is what the boxes' own log calls it, if they keep one
  filter: {{places: boxes, event: filter_changed}}
  wash: {{places: boxes, event: washed}}
  optics: {{places: boxes, event: optics_cleaned}}
  arm: {{places: boxes, event: arm_calibrated}}
# give_up_after: 2 h             # for so long one notice is tried on a channel that does not work
# page:                          # by which address phones open the links in notices: this machine's own
#   host: 0.0.0.0
#   address: http://192.168.1.20:8710
"""

PEOPLE = """\
# Who is told what, and when. Channels are names; their addresses are in secrets.yaml.
- person: Operator
  channels: [operator-phone]
  hours: always                  # or {now: always, round: "05:00-22:00"}
  next_after: never              # e.g. 20 min: then the next in this list is told
  at_most: 6 per hour            # the rest arrives as one digest
  worklist: yes
  # herd_week: Monday 07:00      # once a week how the herd is doing: milk, late cows, cells against the limit
  # computer: yes                # is told of sentinel's own troubles (a full disk); nobody named: the first in the list
"""

SECRETS = """\
# The addresses that notices are sent to, as Apprise writes them; keep this file yours alone (chmod 600).
channels:
  # a phone that listens to a topic of your own on an ntfy server of your choice:
  # operator-phone: "ntfys://SERVER/TOPIC"
  operator-phone: "json://127.0.0.1:8099/"
"""


def init(
    folder: Annotated[Path, typer.Argument(help="The farm folder to make.")],
    name: Annotated[str, typer.Option(help="The farm's name.")] = "My farm",
    zone: Annotated[str, typer.Option(help="The farm's time zone.")] = "Europe/Dublin",
) -> None:
    """Make a farm folder with the rules that ship; nothing already there is overwritten."""
    folder.mkdir(parents=True, exist_ok=True)
    made = []
    for file, text in (("farm.yaml", FARM.format(name=name, zone=zone)), ("people.yaml", PEOPLE)):
        made += _write_new(folder / file, text, 0o644)
    made += _write_new(folder / SECRETS_NAME, SECRETS, 0o600)
    for room in ("feeds", "rules", "exports"):
        (folder / room).mkdir(exist_ok=True)
    for source in sorted(shipped("rules").iterdir()):
        if source.suffix in (".yaml", ".json") and not (folder / "rules" / source.name).exists():
            shutil.copyfile(source, folder / "rules" / source.name)
            made.append(f"rules/{source.name}")
    page_key(folder)
    out.print(f"Made in {folder}: {', '.join(made) or 'nothing new'}.")
    out.lines(
        f"Next: put an export into {folder / 'exports'}, then",
        f"  sentinel map {folder / 'exports'}/FILE > {folder / 'feeds'}/NAME.yaml",
        f"  sentinel check {folder}",
        f"  sentinel tell Operator --farm {folder}",
        f"  sentinel once {folder}",
    )


def _write_new(path: Path, text: str, mode: int) -> list[str]:
    """Write a file that is not there yet, with its rights from the first moment."""
    try:
        handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode)
    except FileExistsError:
        return []
    with os.fdopen(handle, "w", encoding="utf-8") as file:
        file.write(text)
    return [path.name]
