"""`demo`: an invented farm's week in about a minute, from exports to a phone and back."""

from __future__ import annotations

import sys
import tempfile
import threading
from contextlib import ExitStack, suppress
from pathlib import Path
from typing import Annotated

import typer
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn

from sentinel.edges.terminal import Screen

SECONDS = 62.0
"""Real seconds in which the week is played, if the machine keeps up."""

INTRO = (
    "A week on an invented farm: three milking boxes, about 160 cows, exports in four forms.",
    "They appear in a watched folder at their own times; notices go by real HTTP to a stand-in for two phones.",
    "Ctrl-C ends it.",
    "",
)


def demo(
    fast: Annotated[bool, typer.Option("--fast", help="As fast as possible.")] = False,
    page: Annotated[
        bool | None,
        typer.Option("--page/--no-page", help="Keep its page open afterwards; for ten minutes on a terminal."),
    ] = None,
    keep: Annotated[Path | None, typer.Option("--keep", metavar="DIR", help="Keep the farm folder here.")] = None,
) -> None:
    """Play an invented farm's week in about a minute: exports, alerts on a phone, answers, the log."""
    from sentinel.demo import summary  # noqa: PLC0415  (other commands need none of it)
    from sentinel.demo.afterwards import OPEN_FOR_S, keep_open, leave_messages  # noqa: PLC0415
    from sentinel.demo.play import play  # noqa: PLC0415

    console = Screen(soft_wrap=False)
    with ExitStack() as stack:
        folder = keep or Path(stack.enter_context(tempfile.TemporaryDirectory(prefix="sentinel-demo-"))) / "farm"
        console.lines(*INTRO)
        try:
            with _bar(console) as bar:
                task = bar.add_task("", total=1.0, when="", exports=0)

                def progress(share: float, when: str, exports: int) -> None:
                    bar.update(task, completed=share, when=when, exports=exports)

                played = play(folder, console, 0.0 if fast else SECONDS, progress)
        except KeyboardInterrupt:
            console.print("Stopped before the week was over.")
            raise typer.Exit(130) from None
        stack.callback(played.yard.store.close)
        leave_messages(folder, played.messages)
        summary.show(console, played, played.yard.setup.farm.zone)
        summary.show_next(console, played, keep)
        if page or (page is None and console.is_terminal and sys.stdin.isatty()):
            with suppress(KeyboardInterrupt):
                keep_open(console, played, threading.Event(), None if page else OPEN_FOR_S)


def _bar(console: Screen) -> Progress:
    """How far the week has come; on a terminal only."""
    return Progress(
        TextColumn("{task.fields[when]}"),
        BarColumn(bar_width=30),
        TextColumn("{task.fields[exports]} exports"),
        TimeElapsedColumn(),
        console=console,
        transient=True,
        disable=not console.is_terminal,
    )
