"""No SQL leaves the store: the source of everything outside its package is read."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

import sentinel

PACKAGE = Path(sentinel.__file__).parent
STORE = PACKAGE / "edges" / "store"

SQL = re.compile(
    r"\bselect\b.+\bfrom\s+[\"\w{]|\binsert\s+(or\s+\w+\s+)?into\b|\bupdate\s+[\"\w{]+\s+set\b|\bdelete\s+from\b"
    r"|\b(create|alter|drop)\s+(table|index|view|trigger)\b|^\s*pragma\b|^\s*begin\s+(immediate|exclusive|deferred)\b"
    r"|\b(order|group)\s+by\s+[\"\w{]|\bis\s+(not\s+)?null\b|[\w\"}]\s*(=|<>|>=|<=|<|>)\s*\?|\bin\s*\(\s*(\?|select\b|{)",
    re.IGNORECASE | re.DOTALL,
)
"""Statements, and the conditions that parts of them are put together from."""

OF_A_DATABASE = {"conn", "execute", "executemany", "executescript", "fetchall", "fetchmany", "fetchone"}
"""What only whoever speaks SQL asks of an object."""

MODULES = {"sqlite3": {"connect", "Connection", "Cursor", "Row"}, "sqlite_utils": None}
"""Modules for databases, with what may not be taken of them (None: nothing may). Their errors may be met anywhere."""


def docstrings(tree: ast.Module) -> set[int]:
    """The identities of the strings that stand alone: what is said of the code and is none."""
    return {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}


def spoken_sql(code: str) -> Iterator[int]:
    """The lines on which a module speaks SQL or reaches for a database."""
    tree = ast.parse(code)
    apart = docstrings(tree)
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant | ast.JoinedStr) and id(node) not in apart:
            text = ast.unparse(node)[1:] if isinstance(node, ast.JoinedStr) else node.value
            if isinstance(text, str) and SQL.search(text.strip("'\"")):
                yield node.lineno
        elif isinstance(node, ast.Attribute) and node.attr in OF_A_DATABASE and ast.unparse(node) != "self.conn":
            yield node.lineno  # one's own may be a connection of another kind, as a browser's is
        elif isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id == "sqlite3":
            if node.attr in (MODULES["sqlite3"] or ()):
                yield node.lineno
        elif isinstance(node, ast.Import) and any(one.name.split(".")[0] == "sqlite_utils" for one in node.names):
            yield node.lineno
        elif isinstance(node, ast.ImportFrom):
            top = (node.module or "").split(".")[0]
            if top in MODULES and (MODULES[top] is None or any(one.name in MODULES[top] for one in node.names)):
                yield node.lineno


@pytest.mark.parametrize(
    "code",
    [
        'rows = store.rows("select count(*) from visits")',
        'rows = ask(f"select {names} from {table} where id = 1")',
        'found = store.alerts("over_at is null")',
        'found = store.alerts("id = ?", (number,))',
        "where = f'\"{table.happened}\" >= ?'",
        'where = f"id in ({marks})"',
        'ask("update notices set at = 5")',
        'ask(f"update {table} set known_at = ?", (at,))',
        'ask("insert or replace into meta values (1)")',
        'ask("delete from seen")',
        'give_back("pragma shrink_memory")',
        "store.conn.close()",
        "cursor = engine.execute(asked)",
        "import sqlite3\nsqlite3.connect(path)",
        "from sqlite3 import connect",
        "import sqlite_utils",
        "from sqlite_utils import Database",
    ],
)
def test_a_module_that_speaks_sql_is_found(code: str) -> None:
    """Statements, conditions, pragmas and whoever reaches for a connection are seen by the test below."""
    assert list(spoken_sql(code))


@pytest.mark.parametrize(
    "code",
    [
        '"""Says what `select x from y` would."""',
        "import sqlite3\ntry:\n    work()\nexcept sqlite3.OperationalError:\n    pass",
        'said = f"with {n} rows from {feed} it cannot be told"',
        'said = "{cow}: {value} > {bound}"',
        'said = "updated; begin anew and put the filter into its place"',
    ],
)
def test_plain_words_are_no_sql(code: str) -> None:
    """What is said to people, docstrings and the database's errors may stand anywhere."""
    assert list(spoken_sql(code)) == []


def test_no_sql_stands_outside_the_store() -> None:
    """Whoever needs something else of the store gives the question a name there."""
    found = [
        f"{path.relative_to(PACKAGE)}:{line}"
        for path in sorted(PACKAGE.rglob("*.py"))
        if STORE not in path.parents
        for line in spoken_sql(path.read_text(encoding="utf-8"))
    ]

    assert found == []
