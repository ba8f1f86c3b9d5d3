"""What somebody else wrote reaches terminal, log and files as text: no markup, no control character, no forged line."""

from __future__ import annotations

import contextlib
import io
import json
import logging
import re
import subprocess
import sys
import unicodedata
from collections.abc import Iterator
from pathlib import Path

import pytest
from faults.store.damaged_store import Ended, made
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sentinel.cli import main
from sentinel.cli.base import opened
from sentinel.edges.settings import STORE_NAME
from sentinel.edges.store import Store
from sentinel.edges.store.log import append_entries
from sentinel.edges.terminal import Screen, ScreenLog, in_one_line
from sentinel.flow.model import Entry
from sentinel.flow.visible import hides, visible, visible_json

HOSTILE = (
    *("[/red]", "[bold]x", "[link=http://a.example]x[/link]", ":cow:", "\\[", "x" * 3000, "Müller ☃ 🐄"),
    *("\x1b[31m", "\x1b]0;title\x07", "\x9b31m", "\x00", "\x7f", "\t", "\b\b"),
    *("a\nSet aside: forged", "a\r\nb", "\u2028b", "\u2029", "\u202eevil", "\u2066x", "\ufeffx", "\u200bx"),
)

MIXED = st.lists(st.sampled_from(HOSTILE) | st.text(max_size=5), min_size=1, max_size=3).map("".join)


def sentinel(*given: str | Path) -> Ended:
    """Run a command in this process."""
    out, err, code = io.StringIO(), io.StringIO(), 0
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        try:
            main([str(one) for one in given])
        except SystemExit as end:
            code = end.code if isinstance(end.code, int) else 1
    return Ended(code, out.getvalue(), err.getvalue())


def seen(ended: Ended) -> None:
    """Nothing that it printed does anything but stand there, and it ended by itself."""
    assert not ended.traceback, ended.err
    left = {f"U+{ord(c):04X}" for c in ended.out + ended.err if hides(c) and c not in "\r\n"}
    assert left == set(), (ended.out + ended.err)[:500]
    assert "\r" not in (ended.out + ended.err).replace("\r\n", "")


def put(store: Store, number: int, text: str) -> None:
    """A farm in which everything that somebody else writes says this: cow, note, person, file, rule's sentence."""
    at, file = 1_700_000_000 + number, {"file": text}
    changed = {"table": "visits", "old": {text: text}, "new": {text: text}, **file}
    entries = [
        Entry(at, "answer", 1, "box-failures", f"cow:{text}", text, {"finding": text, "note": text}),
        Entry(at, "read", body={**file, "rows": 1, "new": 1, "corrected": 0}),
        Entry(at, "set-aside", body={**file, "rows": 1, "line": 2, "reason": text}),
        Entry(at, "problem", body={"said": text}),
        Entry(at, "correction", None, "", f"cow:{text}", "", changed),
    ]
    storable = text.encode("utf-8", "replace").decode("utf-8")
    assert storable == text, "SQLite holds no lone surrogates"
    with store.writing() as conn:
        append_entries(store, entries)
        conn.execute("update alerts set text = ?, answered_by = ?, finding = ?, note = ?", (text, text, text, text))
        conn.execute("insert or replace into feeds values (?, '[]', null, null, null)", (text,))
        columns = "feed, file, at, sha256, rows_read, rows_set_aside, reason"
        conn.execute(f"insert into files ({columns}) values (?, ?, 1, '', 1, 1, ?)", (text, text, text))
        last = conn.execute("select max(id) from files").fetchone()[0]
        conn.execute("insert into set_aside (file_id, line, row, reason) values (?, 2, ?, ?)", (last, text, text))
        conn.execute("insert into page_links (person, read_only, made_at, until) values (?, 1, 1, 9999999999)", (text,))


@pytest.fixture(scope="module")
def farm(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A farm that has worked."""
    return made(tmp_path_factory.mktemp("terminal") / "farm", exports=1)


COMMANDS = (
    ("alerts", "--all"),
    ("alerts", "--all", "--json"),
    ("history",),
    ("history", "--json"),
    ("history", "--csv"),
)


@given(MIXED.filter(lambda text: not re.search("[\ud800-\udfff]", text)))
@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_whatever_stands_in_the_store_every_command_shows_it_as_text(farm: Path, text: str) -> None:
    """Cow, note, person, file, reason and sentence: markup is not read, and what cannot be seen is written out."""
    with opened(farm / STORE_NAME) as store:
        put(store, 0, text)
    for name, *options in COMMANDS:
        ended = sentinel(name, farm, *options)
        assert ended.code == 0, ended.err
        seen(ended)
        if not options and not re.search(r"[;,\s]", visible(text)):
            assert visible(text) in ended.out
    for given_ in (("people", "links", "--farm", farm), ("replay", farm), ("verify", farm)):
        seen(sentinel(*given_))


@pytest.mark.parametrize("text", [one for one in HOSTILE if "\x00" not in one and "/" not in one])
def test_names_of_files_people_and_feeds_that_are_typed_or_found_are_shown_as_text(tmp_path: Path, text: str) -> None:
    """In settings, in the inbox and on the command line: each command ends by itself with what is wrong as text."""
    folder = tmp_path / "farm"
    assert sentinel("init", folder, "--zone", "UTC").code == 0
    (folder / "exports" / f"{text[:60]}.csv").write_text(f"Cow{text};Start\n1;2026-01-01\n")
    quoted = json.dumps(text, ensure_ascii=False)
    (folder / "people.yaml").write_text(f"- person: {quoted}\n  channels: [operator-phone, {quoted}]\n")
    (folder / "feeds" / "a.yaml").write_text(f"feed: {quoted}\nfiles: {quoted}\nform: {quoted}\n")
    (folder / "rules" / "mine.yaml").write_text(f"- rule: {quoted}\n  measure: {quoted}\n  say: {quoted}\n")
    for given_ in (
        ("check", folder),
        ("map", folder / "exports" / f"{text[:60]}.csv", "--farm", folder),
        ("map", folder / text[:60], "--farm", folder),
        ("once", folder),
        ("answer", "1", "--by", text, "--farm", folder),
        ("done", text, "--by", text, "--farm", folder),
        ("tell", text, "--farm", folder),
        ("history", folder, "--since", text),
        ("alerts", folder / text[:60]),
        ("replay", folder, "--set", text),
        ("restore", folder / text[:60], "--farm", folder),
        ("backup", folder / "none" / text[:60], "--farm", folder),
    ):
        if not str(given_[1]).startswith("-"):
            seen(sentinel(*given_))


def test_a_note_with_markup_does_not_end_the_history_on_a_terminal_either() -> None:
    """`[/red]` in a cell of a table and in a line; colours of our own stay."""
    screen = io.StringIO()
    shown = Screen(file=screen, force_terminal=True, width=60)
    shown.table(("what",), [("[/red] \x1b[31m",)])
    shown.print("[bold]x[/bold]", style="bold red")

    assert "[/red] \\x1b[31m" in screen.getvalue()
    assert "\x1b[1;31m[bold]x[/bold]\x1b[0m" in screen.getvalue()


def test_what_is_logged_is_one_line_an_event_however_long() -> None:
    """Into a file: no line is broken at 80 columns, none is forged, an exception stands with where it came from."""
    told = io.StringIO()
    log = logging.getLogger("test-terminal")
    log.addHandler(ScreenLog(Screen(file=told)))
    log.propagate = False
    log.warning("cow %s %s", "7\nERROR all is lost", "x" * 500)
    try:
        raise ValueError("in a\nfile \x1b[2J")
    except ValueError:
        log.exception("this look failed")
    lines = told.getvalue().splitlines()

    assert len(lines) == 2
    assert lines[0].endswith("cow 7\\nERROR all is lost " + "x" * 500)
    here = "tests/whole/texts/test_terminal_text.py"
    assert f"ERROR this look failed: ValueError: in a\\nfile \\x1b[2J (at {here}:" in lines[1]


def test_a_service_whose_log_goes_into_a_file_keeps_one_line_an_event(farm: Path, tmp_path: Path) -> None:
    """A real `sentinel run` beside a file with a long and hostile name, its output in a pipe."""
    name = "[red]" + "y" * 150 + "\x1b[31m.txt"
    (farm / "exports" / name).write_text("nothing\n")  # a file that ends in a line is whole
    process = subprocess.Popen(
        [sys.executable, "-m", "sentinel", "run", str(farm), "--verbose"],
        stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, env={"COLUMNS": "80", "PATH": ""},
    )  # fmt: skip
    lines: list[str] = []
    for line in process.stdout or ():
        lines.append(line.rstrip("\n"))
        if "no feed map is for this file" in line:
            break
    process.terminate()
    process.communicate(timeout=60)

    assert re.fullmatch(
        r"\d{4}-\d\d-\d\d \d\d:\d\d:\d\d INFO \[red\]y{150}\\x1b\[31m\.txt: no feed map is for this file; .*",
        lines[-1],
    )


@given(st.text())
def test_visible_text_is_one_line_and_what_can_be_seen_stays(text: str) -> None:
    """Of every text; JSON means the same after it."""
    shown = visible(text)

    assert not any(unicodedata.category(c) in ("Cc", "Cs", "Zl", "Zp") for c in shown)
    assert len(shown.splitlines()) <= 1
    assert "".join(c for c in text if not hides(c)) == "".join(c for c in text if not hides(c) and c in shown)
    told = visible_json(json.dumps(text, ensure_ascii=False))
    assert json.loads(told) == text
    assert not any(hides(c) for c in told)


def test_an_error_in_one_line_says_where_it_was() -> None:
    """The innermost place first, named as the project names its modules."""
    try:
        Screen().table(("a",), [("b", "c")])
    except ValueError as error:
        said = in_one_line(error)

    assert said.startswith("ValueError: ")
    assert "sentinel/edges/terminal.py:" in said
    assert said.index("terminal.py") < said.index("test_terminal_text.py")


@pytest.fixture(autouse=True)
def _quiet() -> Iterator[None]:
    """Logging as it was."""
    handlers = logging.getLogger().handlers[:]
    yield
    logging.getLogger().handlers[:] = handlers


def test_everything_is_shown_through_the_terminal_s_own_module() -> None:
    """No other module makes a console, writes to standard output, or reads markup."""
    package = Path(main.__code__.co_filename).parents[1]
    allowed = {"edges/terminal.py", "cli/__init__.py", "simulator/__main__.py"}
    found = [
        f"{path.relative_to(package).as_posix()}: {line.strip()}"
        for path in sorted(package.rglob("*.py"))
        if path.relative_to(package).as_posix() not in allowed
        for line in path.read_text(encoding="utf-8").splitlines()
        if ">>>" not in line
        and re.search(
            r"(?<!\w)(Console|RichHandler)\(|typer\.echo|sys\.std(out|err)\.write|[^.\w]print\(|markup=True", line
        )
    ]

    assert found == []
