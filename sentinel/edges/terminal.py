"""The terminal: everything that is shown goes through here, as text that is only text.

No markup is read in what is shown, and control characters are written out (`flow/visible`), so that no name, note or
file can colour, clear or forge a line. Into a pipe or a file every line and every row of a table stays one line,
however long, so that it can be searched by line.
"""

from __future__ import annotations

import json
import logging
import re
import traceback
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import IO, Any

from rich.cells import cell_len
from rich.console import Console
from rich.table import Table
from rich.text import Text

from sentinel.flow.visible import visible, visible_json

WIDEST = 60
"""In a pipe the columns of a table stand below each other up to this many letters; a longer cell pushes the next on."""

_LINES = re.compile(r"[^\n]*\n|[^\n]+")

_PACKAGE = Path(__file__).resolve().parents[2]


class Screen(Console):
    """Where a command shows things: standard output, standard error with `stderr`, or a file that is given."""

    def __init__(self, *, stderr: bool = False, file: IO[str] | None = None, **more: Any) -> None:
        """`more` goes to rich, such as a width for a test."""
        super().__init__(
            stderr=stderr, file=file, markup=False, emoji=False, highlight=False, **{"soft_wrap": True, **more}
        )

    def render_str(self, text: str, **how: Any) -> Text:
        """Every text that is printed, and every cell of a table, comes through here."""
        return super().render_str(visible(text), **{**how, "markup": False, "emoji": False})

    def lines(self, *texts: str, style: str = "") -> None:
        """Show each text on a line of its own."""
        for text in texts:
            self.print(text, style=style or None)

    def table(self, headings: Sequence[str], rows: Iterable[Sequence[str]], right: Sequence[str] = ()) -> None:
        """Show rows of texts under their headings; columns named in `right` hold numbers."""
        if self.is_terminal:
            shown = Table(box=None, pad_edge=False)
            for heading in headings:
                shown.add_column(heading, overflow="fold", justify="right" if heading in right else "left")
            for row in rows:
                shown.add_row(*row)
            self.print(shown)
            return
        visible_rows = [[visible(cell) for cell in row] for row in (headings, *rows)]
        widths = [min(WIDEST, max(map(cell_len, column))) for column in zip(*visible_rows, strict=True)]
        for row in visible_rows:
            cells = [
                f"{' ' * (width - cell_len(cell))}{cell}"
                if name in right
                else f"{cell}{' ' * (width - cell_len(cell))}"
                for name, width, cell in zip(headings, widths, row, strict=True)
            ]
            self._write("  ".join(cells).rstrip() + "\n")

    def records(self, records: Iterable[Any]) -> None:
        """Show one JSON object a line, for programs."""
        for record in records:
            self._write(visible_json(json.dumps(record, ensure_ascii=False)) + "\n")

    def document(self, text: str) -> None:
        """Show a text of several lines that is to be kept in a file; its line ends stay as they are."""
        for line in _LINES.findall(text):
            end = "\r\n" if line.endswith("\r\n") else "\n" if line.endswith("\n") else ""
            self._write(visible(line.removesuffix(end)) + end)

    def _write(self, text: str) -> None:
        """Straight to the file: rich takes a tenth of a millisecond to print a line, and there may be many."""
        self.file.write(text)


class ScreenLog(logging.Handler):
    """Shows what is logged, an event a line with its time; also an exception, with where it came from."""

    def __init__(self, screen: Screen) -> None:
        super().__init__()
        self._screen = screen
        self.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(message)s", "%Y-%m-%d %H:%M:%S"))

    def format(self, record: logging.LogRecord) -> str:
        """One line."""
        bare = logging.makeLogRecord({**record.__dict__, "exc_info": None, "exc_text": None, "stack_info": None})
        error = record.exc_info[1] if record.exc_info else None
        return visible(super().format(bare) + (f": {in_one_line(error)}" if error else ""))

    def emit(self, record: logging.LogRecord) -> None:
        """Show it."""
        try:
            style = "bold red" if record.levelno >= logging.ERROR else None
            self._screen.print(self.format(record), style=style)
        except Exception:
            self.handleError(record)


def in_one_line(error: BaseException) -> str:
    """An exception in one line: what it is, what it says, and the places it came through, the innermost first."""
    stack = traceback.extract_tb(error.__traceback__)
    frames = [f"{_place(frame.filename)}:{frame.lineno} {frame.name}" for frame in stack]
    came = f" (at {' < '.join(reversed(frames))})" if frames else ""
    return visible(f"{type(error).__name__}: {error}".rstrip(": ") + came)


def _place(file: str) -> str:
    """A module as the project names it; of others the last two parts of its path."""
    path = Path(file)
    if path.is_relative_to(_PACKAGE):
        return path.relative_to(_PACKAGE).as_posix()
    return "/".join(path.parts[-2:])
