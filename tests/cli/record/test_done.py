"""`done`: a chore that is recorded ends its alert."""

from __future__ import annotations

import threading
from pathlib import Path

from cli.typed import SETTLE, sentinel

WIRE = """\
- rule: wire-due
  measure: hours_since_chore
  raise_over: 1 s
  where: {chore: wire}
  urgency: round
  say: "{subject}: last done {value} ago"
"""


def test_a_chore_that_is_done_ends_its_alert(farm: Path) -> None:
    """Overdue, recorded, over; an unknown chore or a missing place is refused with what would be right."""
    text = (farm / "farm.yaml").read_text().replace(SETTLE, "  wire: {places: [east, west]}\n" + SETTLE)
    (farm / "farm.yaml").write_text(text)
    (farm / "rules" / "wire.yaml").write_text(WIRE)
    sentinel("once", farm)
    threading.Event().wait(2.1)
    sentinel("once", farm)

    unknown = sentinel("done", "wires", "--place", "east", "--farm", farm)
    nowhere = sentinel("done", "wire", "--farm", farm)
    said = sentinel("done", "wire", "--place", "east", "--note", "moved", "--farm", farm)

    assert (unknown.code, 'did you mean "wire"?' in unknown.words) == (2, True)
    assert (nowhere.code, nowhere.err.strip()) == (2, "say where wire was done: east, west")
    assert (said.code, said.out) == (0, "Recorded: wire east done.\n")
    over = sentinel("history", farm, "--kind", "over", "--json").records
    assert [entry["subject"] for entry in over] == ["chore:wire/east"]
    assert [a["subject"] for a in sentinel("alerts", farm, "--json").records] == ["chore:wire/west"]


def test_a_chore_is_taken_back(farm: Path) -> None:
    """The last that was recorded, once; its alert stands again, and what nobody recorded is refused."""
    text = (farm / "farm.yaml").read_text().replace(SETTLE, "  wire: {places: [east, west]}\n" + SETTLE)
    (farm / "farm.yaml").write_text(text)
    (farm / "rules" / "wire.yaml").write_text(WIRE)
    sentinel("once", farm)
    threading.Event().wait(2.1)
    sentinel("done", "wire", "--place", "east", "--farm", farm)
    back = sentinel("done", "wire", "--place", "east", "--undo", "--farm", farm)
    again = sentinel("done", "wire", "--place", "east", "--undo", "--farm", farm)

    assert back.code == 0
    assert back.out.startswith("Recorded: wire east was not done at ")
    assert (again.code, "nobody has recorded wire east as done" in again.err) == (2, True)
    [entry] = sentinel("history", farm, "--kind", "chore-undone", "--json").records
    assert (entry["subject"], entry["person"]) == ("chore:wire/east", "Operator")
    assert "chore:wire/east" in [a["subject"] for a in sentinel("alerts", farm, "--json").records]
