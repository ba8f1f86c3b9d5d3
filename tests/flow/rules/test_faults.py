"""What is wrong inside one rule knows its place before the file is known."""

from __future__ import annotations

from sentinel.flow.rules.faults import Fault, quantity_or_fault
from sentinel.flow.yaml.text import read_yaml

TEXT = """\
- rule: late-cow
  classes:
    - raise_over: 14
  say: |
    one
    two
"""


def test_a_fault_of_a_part_is_told_at_its_place_in_the_file() -> None:
    """Seen from further up it is the same one."""
    document, _ = read_yaml(TEXT, "cows.yaml")
    fault = Fault(("raise_over",), "needs its unit").under("classes", 0)

    assert fault == Fault(("classes", 0, "raise_over"), "needs its unit")
    assert str(fault.problem(document, (0,))) == "cows.yaml:3:7: classes.0.raise_over: needs its unit"


def test_a_fault_in_a_block_of_text_is_told_at_its_line() -> None:
    """So many lines below the key, and one of the rule itself at the rule."""
    document, _ = read_yaml(TEXT, "cows.yaml")

    assert str(Fault(("say",), "no such place", lines=2).problem(document, (0,))) == "cows.yaml:6: say: no such place"
    assert str(Fault((), "is no rule").problem(document, (0,))) == "cows.yaml:1:3: is no rule"


def test_a_quantity_is_a_number_or_a_fault_at_its_key() -> None:
    """Which says what would be right."""
    assert quantity_or_fault("90 min", "h", "raise_over") == (1.5, [])
    value, (fault,) = quantity_or_fault("14", "h", "classes", 0, "raise_over")

    assert (value, fault.path) == (None, ("classes", 0, "raise_over"))
    assert "14 h" in fault.message
