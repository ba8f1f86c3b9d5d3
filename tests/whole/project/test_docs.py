"""The docs cannot go stale: what they show is read by the program, made by it, or typed as it stands."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Callable
from pathlib import Path

import pytest

from sentinel.cli.docs import TABLES, commands, filled
from sentinel.edges.settings import CHANNEL_PREFIX, SECRETS_NAME, read_secrets
from sentinel.flow.alerts.chain import ENTRY_KINDS
from sentinel.flow.feeds import load_feed_map
from sentinel.flow.language import english
from sentinel.flow.model import Entry, Problem
from sentinel.flow.rules import load_rules
from sentinel.flow.settings.farm import load_farm
from sentinel.flow.settings.people import load_people
from sentinel.flow.views.parts.records import what_words

ROOT = Path(__file__).resolve().parents[3]
MADE = {
    "rules/README.md": ["rules", "measures"],
    "demo_feeds/README.md": ["ranges", "fields"],
    "deploy/settings.md": ["commands"],
}
"""The tables made from the code, and where they stand."""
DOCS = ("README.md", "DEVELOPERS.md", "CHANGELOG.md", "deploy/README.md", "deploy/windows.md", *MADE)
TEXTS = {name: (ROOT / name).read_text(encoding="utf-8") for name in DOCS}


def blocks(name: str, language: str) -> list[str]:
    """The fenced blocks of one document in one language, without the indentation of the list they stand in."""
    found = re.findall(rf"^( *)```{language}\n(.*?)^\1```$", TEXTS[name], re.M | re.S)
    return [re.sub(rf"^{indent}", "", text, flags=re.M) for indent, text in found]


# --- YAML ------------------------------------------------------------------------------------------------


def farm_problems(text: str) -> list[Problem]:
    """What is wrong with a farm.yaml; a part of one stands in a whole one."""
    whole = text if re.search(r"^name:", text, re.M) else f"name: Farm\nzone: Europe/Dublin\n{text}"
    return load_farm(whole, "farm.yaml")[1]


READERS: dict[str, Callable[[str], list[Problem]]] = {
    "farm.yaml": farm_problems,
    "in farm.yaml": farm_problems,
    "people.yaml": lambda text: load_people(text, "people.yaml")[1],
    "rules/": lambda text: load_rules(text, "rules/here.yaml")[1],
    "feeds/": lambda text: load_feed_map(text, "feeds/here.yaml")[1],
}
YAML_BLOCKS = [(name, text) for name in DOCS for text in blocks(name, "yaml")]


def kind(text: str) -> str:
    """Which file a block is, as its first line says: `# rules/cows.yaml`."""
    said = text.splitlines()[0].removeprefix("# ")
    return re.sub(r"(rules/|feeds/).*", r"\1", said)


@pytest.mark.parametrize(("name", "text"), [one for one in YAML_BLOCKS if kind(one[1]) != SECRETS_NAME])
def test_yaml_in_the_docs_is_right(name: str, text: str) -> None:
    """Every YAML block says in its first line which file it is, and is right as such a file."""
    assert [str(problem) for problem in READERS[kind(text)](text)] == []


def test_yaml_in_the_docs_is_of_every_kind() -> None:
    """The docs show each kind of settings file at least once."""
    assert {kind(text) for _, text in YAML_BLOCKS} == {*READERS, SECRETS_NAME}


def test_secrets_in_the_docs_are_right(tmp_path: Path) -> None:
    """The addresses shown are read from a file of one's own, and from the environment by the name that is shown."""
    shown = "".join(text for _, text in YAML_BLOCKS if kind(text) == SECRETS_NAME)
    (variable,) = re.findall(rf"`({CHANNEL_PREFIX}\w+)`", TEXTS["deploy/settings.md"])
    path = tmp_path / SECRETS_NAME
    path.write_text(shown, encoding="utf-8")
    path.chmod(0o600)
    secrets, problems = read_secrets(tmp_path, {})
    by_variable, _ = read_secrets(tmp_path / "none", {variable: "json://127.0.0.1"})

    assert problems == []
    assert set(secrets.urls) == {"anna-phone", "ben-phone"}
    assert set(by_variable.urls) == {"anna-phone"}
    assert set(secrets.pings) == {"outside"}
    assert set(read_secrets(tmp_path / "none", {"SENTINEL_PING_OUTSIDE": "https://x"})[0].pings) == {"outside"}


def test_bad_yaml_would_be_found() -> None:
    """A misspelt key in a block is seen by the tests above."""
    broken = {
        "farm.yaml": "zone: Europe/Dublin",
        "in farm.yaml": "pge: {port: 1}",
        "people.yaml": "- persn: A",
        "rules/": "- rule: a\n  mesure: late_share",
        "feeds/": "feed: a\nfils: b",
    }

    assert {name: bool(READERS[name](text)) for name, text in broken.items()} == dict.fromkeys(READERS, True)


# --- tables and commands ---------------------------------------------------------------------------------


@pytest.mark.parametrize("name", DOCS)
def test_made_tables_are_up_to_date(name: str) -> None:
    """The tables made from the code are what the code makes now (`sentinel docs FILES` makes them again)."""
    assert filled(TEXTS[name]) == TEXTS[name]


def test_every_made_table_stands_somewhere() -> None:
    """The commands, the fields, the measures and the rules stand where the README leads."""
    assert {name: found for name in DOCS if (found := re.findall(r"<!-- made: (\w+) -->", TEXTS[name]))} == MADE
    assert {name for made in MADE.values() for name in made} == set(TABLES)


def test_readme_is_short() -> None:
    """Who comes for the first time reads it to its end."""
    assert len(TEXTS["README.md"].splitlines()) <= 250


def usages() -> list[tuple[str, str, str]]:
    """Every `sentinel COMMAND ...` that the docs show: document, command, the rest of its line."""
    shown = re.compile(r"(?:^\s*|`|bin/)sentinel ([a-z]+(?:-[a-z]+)*)\b([^`\n]*)", re.M)
    found = [(name, command, rest) for name in DOCS for command, rest in shown.findall(TEXTS[name])]
    return [(name, _whole(command, rest), rest) for name, command, rest in found]


def _whole(command: str, rest: str) -> str:
    """A command with its second word, where it is one of several under one name: `people link`."""
    two = f"{command} {rest.strip().partition(' ')[0]}"
    return two if two in commands() else command


def test_every_command_is_shown_and_exists() -> None:
    """The settings speak of every command; every command and every option in the docs is one that there is."""
    known = commands()
    known["docs"] = ("sentinel docs FILES --check", "")
    listed = {command for name, command, _ in usages() if name == "deploy/settings.md"}
    unknown = [
        (name, command, option)
        for name, command, rest in usages()
        for option in re.findall(r"--[a-z-]+", rest.split("#")[0])
        if option not in known.get(command, ("",))[0]
    ]

    assert {command for _, command, _ in usages()} <= set(known)
    assert set(known) - {"docs"} <= listed
    assert unknown == []


def test_every_kind_of_entry_has_words() -> None:
    """`history` says something in words of an entry of each kind that carries what such entries carry."""
    body = {"said": "said", "text": "text", "why": "why", "changes": ["changed"], "title": "title", "reason": "reason"}

    assert [
        one
        for one in ENTRY_KINDS
        if one not in ("start", "stop", "let-through") and not what_words(Entry(0, one, body=body), english("UTC"))
    ] == []


# --- links and the picture -------------------------------------------------------------------------------


def anchors(text: str) -> set[str]:
    """The anchors that headings get."""
    heads = re.findall(r"^#+ (.*)$", text, re.M)
    return {re.sub(r"[^\w\- ]", "", head).strip().lower().replace(" ", "-") for head in heads}


@pytest.mark.parametrize("name", DOCS)
def test_links_lead_somewhere(name: str) -> None:
    """Every link within the checkout leads to a file that is there, and to a heading of it."""
    lost = []
    for target in re.findall(r"\]\(([^)\s]+)\)", TEXTS[name]):
        if re.match(r"https?://", target):
            continue
        path, _, anchor = target.partition("#")
        file = (ROOT / name).parent / path if path else ROOT / name
        if not file.exists() or (anchor and anchor not in anchors(file.read_text(encoding="utf-8"))):
            lost.append(target)

    assert lost == []


def test_picture_is_plain() -> None:
    """The picture is well-formed, has a title and a description, runs nothing and loads nothing."""
    root = ET.parse(ROOT / "deploy" / "alert-way.svg").getroot()
    space = "{http://www.w3.org/2000/svg}"
    names = {element.tag.removeprefix(space) for element in root.iter()}

    assert {"title", "desc"} <= names
    assert names <= {"svg", "title", "desc", "style", "defs", "marker", "path", "rect", "g", "text"}
    assert "prefers-color-scheme: dark" in (root.find(f"{space}style").text or "")  # type: ignore[union-attr]
    assert not re.search(r"url\((?!#)|@import|href", ET.tostring(root, encoding="unicode"))


def test_rules_in_the_docs_are_named_right() -> None:
    """The changelog names every rule that ships."""
    names = set()
    for path in (ROOT / "rules").glob("*.yaml"):
        names |= {rule.name for rule in load_rules(path.read_text(encoding="utf-8"), path.name)[0]}

    assert names - set(re.findall(r"`([a-z-]+)`", TEXTS["CHANGELOG.md"])) == set()
