"""A look at many exports as a person sees it: a bar on a terminal, a line now and then elsewhere."""

from __future__ import annotations

import io

from rich.console import Console

from sentinel.cli.watch.backlog import Backlog
from sentinel.edges.clock import Clock
from sentinel.runtime.events import Moved, Read


class Ticking(Clock):
    """A clock of which every look takes a second."""

    def __init__(self) -> None:
        self.looks = 0

    def steady(self) -> float:
        """One second more than the last time."""
        self.looks += 1
        return float(self.looks)


def backlog_of(count: int, console: Console, verbose: bool = False) -> list[object]:
    """Let a backlog of so many exports be read in front of a console; what was said besides."""
    said: list[object] = []
    backlog = Backlog(console, said.append, verbose, Ticking())
    for left in reversed(range(count)):
        backlog.hear(Read(f"{left}.csv", "milkings", 10, 0, left))
    backlog.hear(Moved("raised 1: Box 2"))
    backlog.hear("no map is for this file")
    backlog.end()
    backlog.hear(Read("later.csv", "milkings", 1, 0, 0))
    return said


def test_a_backlog_is_a_bar_on_a_terminal() -> None:
    """How many of how many; gone at the end, after which every export is said again."""
    screen = io.StringIO()
    said = backlog_of(700, Console(file=screen, force_terminal=True, width=100))

    assert "of 700 exports" in screen.getvalue()
    assert [str(one) for one in said] == ["no map is for this file", "read later.csv: 1 rows"]


def test_a_backlog_is_a_line_now_and_then_elsewhere() -> None:
    """Into a file or a pipe: plain text, a line every ten seconds; with --verbose each export instead."""
    page, other = io.StringIO(), io.StringIO()
    backlog_of(45, Console(file=page))
    said = backlog_of(45, Console(file=other), verbose=True)

    assert page.getvalue().splitlines() == [f"read {n} of 45 exports" for n in (10, 20, 30, 40)]
    assert other.getvalue() == ""
    assert len(said) == 45 + 3
