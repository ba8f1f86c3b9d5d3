"""Works that were cited without having been read say so wherever they are named."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[3]
ROOMS = ("sentinel", "rules", "tests", "deploy", "README.md", "DEVELOPERS.md", "CHANGELOG.md", "demo_feeds/truth.json")

FROM_MEMORY = re.compile(
    r"Biggadike et al|Tremblay et al|Pollak 1985|Steiner et al|Garwood 1936|Kleinman 1973|Huber 1964|Lazenby et al"
    r"|Wilson 1927|Hogeveen et al\. 2021|SP 811|Special Publication 811|SI Brochure|pair 0\.40, 3\.054"
    r"|Vet Record 1991, 128:513|853/2004, Annex III, Section IX, Chapter I, Part II\(B\)"
    r"|853/2004, Anhang III, Abschnitt IX, Kapitel I, Teil II\(B\)|[Tt]hree out of five of the United States"
)
"""The works, and what of a work, that nobody has read for this project: authors, figures or the wording are remembered.

Whoever reads one takes it out here, and takes away the words beside it.
"""

MARK = re.compile(r"from(\\n|\W)+memory|aus(\\n|\W)+dem(\\n|\W)+Gedächtnis")
REACH = 260
"""So many characters on, at most, the mark stands: a citation and what belongs to it."""


def cited(text: str) -> Iterator[tuple[int, str, str]]:
    """Each mention of such a work: its line, the mention, and what follows it up to the end of what is said there.

    That end is an empty line, the next entry of a file of words, or the end of a string or a table's row.
    """
    for one in FROM_MEMORY.finditer(text):
        rest = text[one.start() : one.start() + REACH]
        rest = re.split(r"\n\s*\n|\nmsg|\"\"\"|\|", rest, maxsplit=1)[0]
        yield text.count("\n", 0, one.start()) + 1, one[0], rest


def unmarked(text: str) -> list[tuple[int, str]]:
    """The mentions that do not say that they are from memory."""
    return [(line, work) for line, work, rest in cited(text) if not MARK.search(rest)]


def files() -> Iterator[Path]:
    """What a person may read for a source: code, rules, texts, tests, documents."""
    for room in ROOMS:
        top = ROOT / room
        for path in sorted(top.rglob("*")) if top.is_dir() else [top]:
            if path.suffix in (".py", ".yaml", ".po", ".md", ".json", ".html") and path != Path(__file__):
                yield path


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("Pollak 1985, Ann Stat 13:206, from memory", []),
        ("(Pollak 1985, Ann Stat\n13:206; Steiner et al. 2000; both from\nmemory)", []),
        ("Pollak 1985, Ann Stat 13:206", [(1, "Pollak 1985")]),
        ("Pollak 1985.\n\nOther things are from memory.", [(1, "Pollak 1985")]),
        ("| Pollak 1985 | from memory |", [(1, "Pollak 1985")]),
        ("Hogeveen et al. 2001, Livest Prod Sci 72:157", []),  # was read
    ],
)
def test_a_citation_without_its_mark_is_found(text: str, found: list[tuple[int, str]]) -> None:
    """The mark must stand with the citation, not somewhere else on the page."""
    assert unmarked(text) == found


def test_what_is_from_memory_says_so_where_it_stands() -> None:
    """In code, rules, both languages, tests and documents each such citation carries the words beside it."""
    found = [
        f"{path.relative_to(ROOT)}:{line}: {work}"
        for path in files()
        for line, work in unmarked(path.read_text(encoding="utf-8"))
    ]

    assert found == []


def test_every_work_of_the_list_is_cited() -> None:
    """The list names nothing that is cited nowhere."""
    text = "\n".join(path.read_text(encoding="utf-8") for path in files())
    names = FROM_MEMORY.pattern.split("|")

    assert [name for name in names if not re.search(name, text)] == []
