"""`docs`, for contributors: the tables in the docs, made from the code, so that they cannot go stale.

A table stands between `<!-- made: NAME -->` and `<!-- end -->`. `sentinel docs FILES` makes them again; a test
fails while one is out of date.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Annotated, Any

import typer

from sentinel.cli.base import app, out
from sentinel.edges.settings import shipped
from sentinel.flow.feeds.trial.figures import range_of
from sentinel.flow.measures.reference import measures_table
from sentinel.flow.rules import Rule, format_quantity, load_rules
from sentinel.flow.rules.words import as_read
from sentinel.flow.tables import EXPORTED

_MADE = re.compile(r"(<!-- made: (?P<name>[a-z]+) -->\n).*?(<!-- end -->)", re.DOTALL)


def filled(text: str) -> str:
    """A document with its made tables made again.

    Raises KeyError for a table that nobody makes.
    """
    return _MADE.sub(lambda match: f"{match[1]}\n{TABLES[match['name']]()}\n{match[3]}", text)


def commands_table() -> str:
    """Every command that people use, with its arguments and what it does."""
    return _table(("command", "what it does"), ((f"`{usage}`", doc) for usage, doc in commands().values()))


def commands() -> dict[str, tuple[str, str]]:
    """Per command its usage and its first line of help; commands for contributors are left out."""
    group = typer.main.get_command(app)
    with typer.Context(group, info_name="sentinel") as context:
        lines = {}
        for name in group.list_commands(context):  # type: ignore[attr-defined]
            command = group.get_command(context, name)  # type: ignore[attr-defined]
            if command.hidden:
                continue
            for spelling, one in _with_parts(name, command):
                parts = [_part(parameter) for parameter in one.params if parameter.name != "help"]
                lines[spelling] = (" ".join(["sentinel", spelling, *parts]), (one.help or "").split("\n")[0])
        return lines


def _with_parts(name: str, command: Any) -> list[tuple[str, Any]]:
    """A command, or those of a group of commands, by what is typed."""
    parts = getattr(command, "commands", None)
    return [(name, command)] if parts is None else [(f"{name} {part}", one) for part, one in parts.items()]


def _part(parameter: typer.CallbackParam) -> str:
    """One argument or option as a usage line shows it."""
    if parameter.param_type_name == "argument":
        name = str(parameter.metavar or parameter.name).upper()
        return name if parameter.required else f"[{name}]"
    name = parameter.opts[0]
    flag = getattr(parameter, "is_flag", False)
    turned_off = f"--no-{name.removeprefix('--')}" if flag and parameter.default else name
    spelling = turned_off if flag else f"{name} {str(parameter.metavar or parameter.name).upper()}"
    return spelling if parameter.required else f"[{spelling}]"


def rules_table() -> str:
    """Every rule that ships: when it is raised, when it cannot wait, what it says, and where it stands."""
    rows = []
    for path in sorted(shipped("rules").glob("*.yaml")):
        rules, _ = load_rules(path.read_text(encoding="utf-8"), path.name)
        for rule in rules:
            raised = f"`{rule.measure}` {'over' if rule.raise_under is None else 'under'} {_bound(rule, rule.bound)}"
            pressing = rule.now_over if rule.now_under is None else rule.now_under
            now = "at once" if rule.urgency == "now" else "" if pressing is None else f"past {_bound(rule, pressing)}"
            rows.append((f"`{rule.name}`", raised, now, as_read(rule.say), f"rules/{path.name}"))
    return _table(("rule", "raised when", "to the phone", "what it says", "file"), rows)


def _bound(rule: Rule, value: float | None) -> str:
    return "" if value is None else format_quantity(value, rule.unit)


def fields_table() -> str:
    """Every field a feed map may fill, with its unit; a field of the key must be filled."""
    rows = []
    for table in EXPORTED:
        for column in table.columns:
            name = f"**`{column.name}`**" if column.name in table.key else f"`{column.name}`"
            rows.append((f"`{table.name}`", name, column.unit, column.doc))
    return _table(("table", "field", "unit", "what it is"), rows)


def ranges_table() -> str:
    """Per field with figures what is possible, what is usual, where an export's middle lies, and the source."""
    rows = []
    for table in EXPORTED:
        for column in table.columns:
            one = column.expected
            if one is not None:
                ranges = [range_of(each, "") for each in (one.possible, one.usual, one.middle)]
                rows.append((f"`{table.name}.{column.name}`", column.unit, *ranges, one.source))
    return _table(("field", "unit", "possible", "usual", "middle", "from"), rows)


def _table(head: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """A Markdown table."""
    lines = [head, tuple("---" for _ in head), *rows]
    return "".join(f"| {' | '.join(cell.replace('|', '/') for cell in line)} |\n" for line in lines)


TABLES: dict[str, Callable[[], str]] = {
    "commands": commands_table,
    "fields": fields_table,
    "measures": measures_table,
    "ranges": ranges_table,
    "rules": rules_table,
}
"""What can stand between the marks, and what makes it."""


def docs(
    files: Annotated[list[Path], typer.Argument(help="Documents with generated tables.")],
    check: Annotated[bool, typer.Option("--check", help="Change nothing; fail if one is out of date.")] = False,
) -> None:
    """Bring the generated tables in the docs up to date."""
    stale = 0
    for path in files:
        text = path.read_text(encoding="utf-8")
        if filled(text) == text:
            continue
        stale += 1
        if not check:
            path.write_text(filled(text), encoding="utf-8")
        out.print(f"{path}: {'out of date' if check else 'made again'}")
    if check and stale:
        raise typer.Exit(1)
