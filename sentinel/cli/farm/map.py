"""`map`: drafts a feed map from sample exports, and asks at the terminal what it is unsure about."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from sentinel.cli.base import HERE, FarmOption, now, out, print_problems
from sentinel.cli.farm.asking import ask_all
from sentinel.cli.farm.check import check
from sentinel.cli.farm.schema import put_schema
from sentinel.cli.farm.trial import say
from sentinel.edges.settings import read_texts
from sentinel.errors import FarmFolderError, UsageError
from sentinel.flow.bounds import USUAL
from sentinel.flow.feeds import load_feed_map
from sentinel.flow.feeds.drafting.draft import drafted
from sentinel.flow.feeds.drafting.head import DRAFTED
from sentinel.flow.feeds.drafting.questions import Drafted
from sentinel.flow.feeds.drafting.sample.names import named
from sentinel.flow.feeds.trial.questions import open_questions
from sentinel.flow.model import Export
from sentinel.flow.settings.farm import Farm, load_farm
from sentinel.runtime.reading.trial import try_draft


def map_(
    files: Annotated[list[Path], typer.Argument(metavar="FILE...", help="Sample exports of one kind; more tell more.")],
    farm: FarmOption = HERE,
    zone: Annotated[str, typer.Option(help="The zone of its times, if there is no farm folder yet.")] = "",
    to: Annotated[Path | None, typer.Option(help="Write the map into this new file, and check it.")] = None,
    ask: Annotated[bool, typer.Option("--ask/--no-ask", help="At a terminal, ask what is unsure.")] = True,
) -> None:
    """Draft a feed map from sample exports: answer its questions or correct it, save it under feeds/."""
    exports = [sample_of(file, name) for file, name in zip(files, names_of(files, farm), strict=True)]
    zone = zone or zone_of(farm) or "UTC"
    draft = drafted(exports, zone)
    if ask and draft.questions and sys.stdin.isatty() and out.is_terminal and _wants_to_answer(draft):
        draft = ask_all(exports, zone, out.print, _typed)
        to = to or _where_to(farm / "feeds" / f"{named(files[0].name, [one.name for one in exports[1:]]).feed}.yaml")
        if to is not None and is_open_draft(to):
            to.replace(to.with_name(f"{to.name}.before"))
    if to is None:
        out.document(draft.text)
        say(try_draft(draft.text, "the draft", exports[0], zone))
        return
    if draft.trouble:
        raise UsageError(draft.trouble)
    write_map(to, draft)
    _checked(to, farm, draft, exports[0], zone)


def names_of(files: Sequence[Path], farm: Path) -> list[str]:
    """What samples are called: their paths under the inbox, else under the folder that holds them all, as a folder may
    say which box they are of."""
    paths = [file.resolve() for file in files]
    inbox = (farm / _inbox_of(farm)).resolve()
    shared = Path(os.path.commonpath([path.parent for path in paths]))
    home = inbox if all(path.is_relative_to(inbox) for path in paths) else shared
    return [path.relative_to(home).as_posix() for path in paths]


def sample_of(file: Path, name: str) -> Export:
    """A sample export of that name; raises UsageError if it is no file, or larger than an export is read."""
    if not file.is_file():
        raise UsageError(f"{file} is not a file")
    if file.stat().st_size > USUAL.size:
        raise UsageError(f"{file} is larger than {USUAL.size // 1_000_000} MB; give a smaller sample of it")
    return Export(name, file.read_bytes(), now())


def zone_of(folder: Path) -> str:
    """The farm's zone; of the other settings nothing is asked (the map being drafted is often one of them)."""
    plan = _farm_of(folder)
    return plan.zone if plan else ""


def _inbox_of(folder: Path) -> str:
    plan = _farm_of(folder)
    return plan.inbox if plan else "exports"


def _farm_of(folder: Path) -> Farm | None:
    try:
        return load_farm(read_texts(folder).get("farm.yaml", ""), "farm.yaml")[0]
    except FarmFolderError:
        return None


def write_map(path: Path, draft: Drafted) -> None:
    """Write a map into a new file, and the schema for editors beside it; raises UsageError if there is one already."""
    if not path.parent.is_dir():
        raise UsageError(f"{path.parent} is not a folder; make it first, or name another place")
    try:
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(draft.text)
    except FileExistsError:
        raise UsageError(f"{path} is there already, and is not overwritten; name another file") from None
    put_schema(path.parent)


def is_open_draft(path: Path) -> bool:
    """Whether a map is as it was drafted, with open questions: nobody has worked on it to the end."""
    try:
        text = path.read_text("utf-8")
    except (OSError, ValueError):
        return False
    return DRAFTED in text[:1000] and any(open_questions({path.name: text}))


def _wants_to_answer(draft: Drafted) -> bool:
    count = len(draft.questions)
    out.print(f"The draft has {count} {'question' if count == 1 else 'questions'}. Answer now? [Y/n]")
    try:
        return _typed("> ").strip().lower() in ("", "y", "yes")
    except EOFError:
        return False


def _where_to(usual: Path) -> Path | None:
    """Where the finished map is to be written; None to show it."""
    out.print("")
    if is_open_draft(usual):
        out.print(f"{usual} holds a draft with open questions; Enter puts this map in its place.")
        out.print(f"The draft is kept as {usual.name}.before.")
    else:
        out.print(f"Write the map into {usual}? Enter does.")
    out.print("A name that ends in .yaml is another file, n only shows the map.")
    while True:
        try:
            typed = _typed("> ").strip()
        except EOFError:
            return None
        if typed.lower() == "n":
            return None
        bare = Path(typed).name == typed  # no folder is named: it goes where maps are
        path = usual.with_name(typed or usual.name) if bare or not typed else Path(typed)
        if path.suffix not in (".yaml", ".yml"):
            out.print(f"{typed} does not end in .yaml. Name a file that does, Enter for {usual}, or n.")
        elif not path.parent.is_dir():
            out.print(f"There is no folder {path.parent}. Name another file, or n.")
        elif path.exists() and not is_open_draft(path):
            out.print(f"{path} is there already, and is not overwritten. Name another file, or n.")
        else:
            return path


def _typed(prompt: str) -> str:
    return input(prompt)


def _checked(path: Path, farm: Path, draft: Drafted, export: Export, zone: str) -> None:
    """Check the map that was written: with the whole farm, if it lies there, else by itself."""
    out.print(f"Written: {path}.")
    _, problems = load_feed_map(draft.text, str(path))
    if problems:
        print_problems(problems)
        out.print("Fill in what is named, then run `sentinel check`.")
        raise typer.Exit(1)
    if (farm / "farm.yaml").is_file() and path.resolve().parent == (farm / "feeds").resolve():
        check(farm)
    else:
        asked = try_draft(draft.text, str(path), export, zone)
        say(asked)
        if not asked:
            out.print("The map is right as far as it can be told by itself.")
