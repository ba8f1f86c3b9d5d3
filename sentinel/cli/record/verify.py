"""`verify`: the proof that nothing was changed, of a farm folder or of a bundle."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sentinel.cli.base import HERE, FarmDir, open_store, out, print_problems
from sentinel.edges.bundle_files import is_bundle, read_bundle
from sentinel.edges.store.log import entry_with
from sentinel.errors import LogChainError, UsageError
from sentinel.flow.bundle.form import MANIFEST
from sentinel.flow.bundle.verify import broken_bundle, log_of
from sentinel.flow.record.seal import Seal, broken_seals, read_seals
from sentinel.flow.views.parts.records import rfc3339
from sentinel.runtime.record.span import seals_that_do_not_fit


def verify(
    folder: FarmDir = HERE,
    seals: Annotated[Path | None, typer.Option(help="A file of seals that was kept elsewhere.")] = None,
) -> None:
    """Prove that the log is whole: no entry changed, taken out or put in; and that the store is not damaged.

    Of a bundle, that every file in it is as it was made; for that no store is needed.
    """
    sealed = _seals(seals) if seals else []
    if is_bundle(folder, MANIFEST):
        _verify_bundle(folder, sealed)
        return
    with open_store(folder) as store:
        number, head = store.verify()
        last = entry_with(store, number)
        broken = seals_that_do_not_fit(store, sealed, number)
    _refuse(broken)
    when = f" (the last of {rfc3339(last.entry.at)})" if last else ""
    out.print(f"The log is whole: {number} entries{when}.")
    _tell_seals(len(sealed))
    out.print(f"Its last hash is {head}. Note it down elsewhere: it proves later that nothing before it was changed.")


def _seals(path: Path) -> list[Seal]:
    """The seals of a file; raises UsageError if it cannot be read, and says which lines are none."""
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, ValueError) as error:
        raise UsageError(f"{path} cannot be read ({error}); name a file that `sentinel seal --to` wrote") from error
    seals, problems = read_seals(text, path.name)
    if problems:
        print_problems(problems)
        raise typer.Exit(2)
    return seals


def _verify_bundle(path: Path, sealed: list[Seal]) -> None:
    """Check a bundle, and the seals of days that lie in it."""
    files = read_bundle(path)
    problems = broken_bundle(files)
    if problems:
        print_problems(problems)
        raise typer.Exit(2)
    log = log_of(files)
    inside = [seal for seal in sealed if seal.last in log.hashes]
    _refuse(broken_seals(inside, log.hashes.get, log.last))
    first = min(log.hashes, default=0)
    out.print(f"The bundle is whole: {len(files)} files, entries {first} to {log.last} of the log.")
    _tell_seals(len(inside))
    head = log.hashes.get(log.last, "")
    out.print(f"Its last hash is {head}. Compare it with a seal: whoever made the bundle could make it anew.")


def _tell_seals(count: int) -> None:
    if count:
        out.print(f"It fits {count} seal{'' if count == 1 else 's'}.")


def _refuse(broken: list[str]) -> None:
    """Raise LogChainError with what does not fit its seals."""
    if broken:
        raise LogChainError(f"the log does not fit its seals: {'; '.join(broken)}")
