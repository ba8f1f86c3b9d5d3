"""`verify`: the proof that nothing was changed."""

from __future__ import annotations

from sentinel.cli.base import HERE, FarmDir, open_store, out
from sentinel.edges.store.log import entry_with
from sentinel.flow.views.parts.records import rfc3339


def verify(folder: FarmDir = HERE) -> None:
    """Prove that the log is whole: no entry changed, taken out or put in; and that the store is not damaged."""
    with open_store(folder) as store:
        number, head = store.verify()
        last = entry_with(store, number)
        when = f" (the last of {rfc3339(last.entry.at)})" if last else ""
        out.print(f"The log is whole: {number} entries{when}.")
        out.print(
            f"Its last hash is {head}. Note it down elsewhere: it proves later that nothing before it was changed."
        )
