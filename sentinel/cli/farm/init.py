"""`init`: makes a farm folder with the rules that ship."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from sentinel.cli.base import out
from sentinel.cli.farm.look_at_exports import Seen, inbox_for, look_at
from sentinel.cli.farm.schema import SCHEMA_NAME, put_schema
from sentinel.cli.farm.trial import say, tried_in
from sentinel.edges.settings import SECRETS_NAME, page_key, shipped
from sentinel.flow.feeds.drafting.kinds import CHORES
from sentinel.flow.feeds.trial.questions import OPEN_QUESTION, TO_FILL_IN, open_questions
from sentinel.runtime.farm_folder import load_setup

FARM = """\
# {name}: what the farm is. `sentinel check` says what is wrong with any file here.
name: {name}
zone: {zone}              # of the farm's clock, and of exports' times that name none
decimal: "."                     # how numbers are written on the phone: "." or ","
language: en                     # of all that people are told: en or de
inbox: {inbox}                   # where the herd computer drops its exports; they are only ever read
boxes: [{boxes}]{boxes_from}
rounds: [{rounds}]       # {rounds_from}the list of what waits is sent a quarter of an hour before
chores:                          # an event is what the boxes' own log calls it, if they keep one
{chores}
# give_up_after: 2 h             # for so long one notice is tried on a channel that does not work
# page:                          # by which address phones open the links in notices: this machine's own
#   host: 0.0.0.0
#   address: http://192.168.1.20:8710
"""

PEOPLE = """\
# Who is told what, and when. Channels are names; their addresses are in secrets.yaml.
- person: Operator
  channels: [operator-phone]     # [] for somebody who only looks at the page
  hours: always                  # or {now: always, round: "05:00-22:00"}
  next_after: never              # e.g. 20 min: then the next in this list is told
  at_most: 6 per hour            # the rest arrives as one digest
  worklist: yes
  # herd_week: Monday 07:00      # once a week how the herd is doing: milk, late cows, cells against the limit
  # computer: yes                # is told of sentinel's own troubles (a full disk); nobody named: the first in the list
  # tunes: yes                   # may write another bound into the rules (sentinel tune RULE --write)
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
    exports: Annotated[Path | None, typer.Option(help="Exports to draft maps from; they are only read.")] = None,
) -> None:
    """Make a farm folder with the rules that ship; nothing already there is overwritten."""
    seen = look_at(exports, zone) if exports else Seen()
    folder.mkdir(parents=True, exist_ok=True)
    made = []
    inbox = inbox_for(folder, exports)
    for file, text in (("farm.yaml", farm_text(name, zone, inbox, seen)), ("people.yaml", PEOPLE)):
        made += _write_new(folder / file, text, 0o644)
    made += _write_new(folder / SECRETS_NAME, SECRETS, 0o600)
    for room in ("feeds", "rules", "exports"):
        (folder / room).mkdir(exist_ok=True)
    for source in sorted(shipped("rules").iterdir()):
        if source.suffix in (".yaml", ".json") and not (folder / "rules" / source.name).exists():
            shutil.copyfile(source, folder / "rules" / source.name)
            made.append(f"rules/{source.name}")
    made += [f"feeds/{SCHEMA_NAME}"] if put_schema(folder / "feeds") else []
    for map_name, draft in seen.maps.items():
        made += [f"feeds/{one}" for one in _write_new(folder / "feeds" / f"{map_name}.yaml", draft.text, 0o644)]
    page_key(folder)
    out.print(f"Made in {folder}: {', '.join(made) or 'nothing new'}.")
    if exports:
        _tell_what_is_open(folder, seen, made)
    else:
        out.lines(
            f"Next: put an export into {folder / 'exports'}, then",
            f"  sentinel map {folder / 'exports'}/FILE --farm {folder} --to {folder / 'feeds'}/NAME.yaml",
            f"  sentinel check {folder}",
            f"  sentinel tell Operator --farm {folder}",
            f"  sentinel once {folder}",
        )
    setup, _, _ = load_setup(folder, os.environ)
    if setup is not None:  # the questions of drafts stand in the list of what is open
        say(
            [
                one
                for one in tried_in(folder, setup).findings
                if not (exports and one.message.startswith((OPEN_QUESTION, TO_FILL_IN)))
            ]
        )


def farm_text(name: str, zone: str, inbox: str, seen: Seen) -> str:
    """farm.yaml with what was seen in the exports, and examples in place of what was not."""
    chores = seen.events or tuple(CHORES)
    lines = [f"  {CHORES[event]}: {{places: boxes, event: {event}}}" for event in chores]
    if seen.events:
        missing = [
            f"  # {CHORES[event]}: {{places: boxes}}   # not in the exports" for event in CHORES if event not in chores
        ]
        lines += missing
    rounds = seen.rounds or ("06:30", "16:30")
    return FARM.format(
        name=name,
        zone=zone,
        inbox=inbox,
        boxes=", ".join(json.dumps(box, ensure_ascii=False) for box in seen.boxes or ["1", "2"]),
        boxes_from="   # QUESTION: those seen in the exports; are these all?" if seen.boxes else "",
        rounds=", ".join(f'"{clock}"' for clock in rounds),
        rounds_from="QUESTION: when what is done by hand is done in the exports; " if seen.rounds else "",
        chores="\n".join(lines),
    )


def _tell_what_is_open(folder: Path, seen: Seen, made: Sequence[str]) -> None:
    """What was drafted from which files, and each place that a person has yet to look at."""
    for note in seen.notes:
        out.print(note)
    new = [folder / one for one in made if one.startswith("feeds/") or one == "farm.yaml"]
    texts = {str(path): path.read_text("utf-8") for path in new if path.suffix == ".yaml"}
    places = list(open_questions(texts))
    out.print("")
    if places:
        out.print(f"Still open, {len(places)} {'place' if len(places) == 1 else 'places'}:")
        out.lines(*(f"  {place}" for place in places))
    out.lines(
        "Next: look at these places, say in people.yaml and secrets.yaml who is told, then",
        f"  sentinel check {folder}",
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
