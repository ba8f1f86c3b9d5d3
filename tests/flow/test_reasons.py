"""Reasons are data: kept and read back the same, said in any language, and each code is given somewhere."""

from __future__ import annotations

import ast
import json
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

import sentinel
from sentinel.edges.locales import words_in
from sentinel.flow import reasons
from sentinel.flow.bounds import LONGEST_REASON
from sentinel.flow.language import english
from sentinel.flow.reasons import (
    CATALOGUE,
    EARLIER,
    JOINED,
    MOST_BYTES,
    Reason,
    as_said,
    bounded,
    from_json,
    in_english,
    in_words,
    places,
    several,
    to_json,
)

PACKAGE = Path(sentinel.__file__).parent
FROZEN = PACKAGE / "edges" / "store" / "schema" / "sentences_v6.py"
GERMAN = words_in("de", ",", "Europe/Berlin")


def _of(inner: st.SearchStrategy[Reason]) -> st.SearchStrategy[Reason]:
    """Reasons of every code, with further ones in their places."""
    value = st.one_of(st.text(max_size=300), st.integers(0, 10**6), inner)

    def made(code: str) -> st.SearchStrategy[Reason]:
        if code in JOINED:
            return st.lists(inner, max_size=7).map(lambda parts: Reason(code, parts=tuple(parts)))
        return st.fixed_dictionaries({name: value for name in sorted(places(code))}).map(
            lambda values: Reason(code, **values)
        )

    return st.sampled_from(sorted({**CATALOGUE, **EARLIER})).flatmap(made)


any_reasons = st.recursive(st.text(max_size=2000).map(as_said), _of, max_leaves=12).filter(
    lambda one: one.code not in ("at-place", "item") or isinstance(dict(one.values)["why"], Reason)
)


@given(reason=any_reasons)
def test_a_reason_that_was_kept_is_the_same(reason: Reason) -> None:
    """Reason to JSON to reason; the JSON is always the same, so that a store can be asked for it."""
    kept = to_json(reason)

    assert from_json(kept) == reason
    assert to_json(from_json(kept)) == kept
    assert hash(from_json(kept)) == hash(reason)
    assert (from_json(""), to_json(None), in_english(None), in_words(None, GERMAN)) == (None, "", "", "")


@given(reason=any_reasons)
def test_a_reason_takes_so_much_and_no_more(reason: Reason) -> None:
    """One that fits is kept whole; of one that does not the English begins as it did, and its JSON is short."""
    found = bounded(reason, LONGEST_REASON)

    assert len(str(found)) <= LONGEST_REASON
    assert len(to_json(found).encode("utf-8", "surrogatepass")) <= MOST_BYTES
    assert str(reason).startswith(str(found))
    assert from_json(to_json(found)) == found
    if len(str(reason)) <= LONGEST_REASON and found.code != "as-said":
        assert found == reason


def test_of_several_reasons_the_first_stay_whole() -> None:
    """The one that is cut through is kept as it begins in English, also within an item."""
    cell = Reason("at-place", place='"Kg"', why=Reason("not-a-number", what='"x"'))
    item = Reason("item", n=3, why=several([cell] * 100))
    found = bounded(item, LONGEST_REASON)
    why = dict(found.values)["why"]

    assert isinstance(why, Reason)
    parts = list(why.parts())
    assert (found.code, len(str(found))) == ("item", LONGEST_REASON)
    assert len(parts) > 30
    assert parts[:-1] == [cell] * (len(parts) - 1)
    assert str(cell).startswith(str(parts[-1]))


@pytest.mark.parametrize(
    ("kept", "said"),
    [
        ("no JSON", "no JSON"),
        ('"text"', '"text"'),
        ('{"code":"of-a-later-version","n":3}', '{"code":"of-a-later-version","n":3}'),
        ('{"code":"too-many-rows"}', '{"code":"too-many-rows"}'),
        ('{"code":"several","parts":3}', '{"code":"several","parts":3}'),
        ('{"code":"item","n":1.5,"why":"x"}', '{"code":"item","n":1.5,"why":"x"}'),
        ('{"code":"item","n":1,"why":"x"}', "item 1: x"),
        ("[" * 100_000, "[" * 100_000),
    ],
)
def test_what_is_no_reason_is_shown_as_it_is_kept(kept: str, said: str) -> None:
    """A store that somebody edited, or that a later version wrote, is still read."""
    assert str(from_json(kept)) == said


@pytest.mark.parametrize(
    ("reason", "said", "german"),
    [
        (
            Reason("item", n=3, why=Reason("at-place", place='"x"', why=Reason("not-a-number", what='"5,9x"'))),
            'item 3: "x": "5,9x" is not a number',
            'Eintrag 3: "x": "5,9x" ist keine Zahl',
        ),
        (
            Reason("word-misspelt", what='"dnoe"', hint=Reason("did-you-mean", word='"done"')),
            '"dnoe" is not in the map\'s word table (did you mean "done"?)',
            '"dnoe" steht nicht in der Wörtertabelle der Zuordnung (meintest du "done"?)',
        ),
        (
            several([Reason("value-missing", name='"a"'), Reason("and-more", n=3)]),
            '"a": is missing; and 3 more',
            '"a": fehlt; und 3 weitere',
        ),
        (
            Reason("cells-missing", n=1, width=7),
            "has 1 cell where the titles have 7: it is cut short or has a line break inside",
            "hat 1 Feld, die Überschriften haben 7: abgeschnitten oder mit einem Zeilenumbruch darin",
        ),
        (as_said("{n} of somebody else"), "{n} of somebody else", "{n} of somebody else"),
    ],
)
def test_a_reason_is_said_in_the_farms_language(reason: Reason, said: str, german: str) -> None:
    """With what is within it; what somebody else said stays as it was."""
    assert str(reason) == said == in_words(reason, english())
    assert in_words(reason, GERMAN) == german


def modules() -> Iterator[tuple[str, ast.Module]]:
    """The program's modules, but for the sentences of the past."""
    for path in PACKAGE.rglob("*.py"):
        if path != FROZEN:
            yield path.relative_to(PACKAGE).as_posix(), ast.parse(path.read_text(encoding="utf-8"))


def given_codes() -> Iterator[tuple[str, str, set[str]]]:
    """Every reason that the program makes: where, its code, the names of its values."""
    for where, tree in modules():
        for node in ast.walk(tree):
            if not isinstance(node, ast.Call):
                continue
            names = {one.arg for one in node.keywords if one.arg}
            called = ast.unparse(node.func)
            code = node.args[1] if called.endswith(".fault") else node.args[0] if called == "Reason" else None
            if called.endswith(".fault"):
                names.add("name")
            branches = [code.body, code.orelse] if isinstance(code, ast.IfExp) else [code]
            for one in branches:
                if isinstance(one, ast.Constant):
                    yield f"{where}:{node.lineno}", one.value, names


def test_every_reason_that_is_given_is_in_the_catalogue_with_its_values() -> None:
    """And every one of the catalogue is given somewhere: what is no longer given stands apart, for old stores."""
    given = list(given_codes())
    named = {getattr(reasons, name) for name in ("AS_SAID", "SEVERAL", "LISTED")}

    assert len(given) > 80
    assert [where for where, code, _ in given if code not in CATALOGUE] == []
    assert [(where, names) for where, code, names in given if names != places(code)] == []
    assert set(CATALOGUE) - {code for _, code, _ in given} - named == set()


def test_what_is_no_longer_given_is_only_in_old_stores() -> None:
    """The migration from schema 6 knows each; no code has two sentences, and no sentence two codes."""
    frozen = FROZEN.read_text(encoding="utf-8")

    assert [code for code in EARLIER if f'"{code}"' not in frozen] == []
    assert set(EARLIER) & set(CATALOGUE) == set()
    sentences = [*CATALOGUE.values(), *EARLIER.values()]
    assert len(set(sentences)) == len(sentences)


def test_no_reason_is_looked_for_in_a_sentence() -> None:
    """Only the migration from schema 6 looks for sentences in what was said."""
    assert json.loads(to_json(Reason("ended"))) == {"code": "ended"}
    importing = [
        path.name
        for path in PACKAGE.rglob("*.py")
        if path != FROZEN and "sentences_v6" in path.read_text(encoding="utf-8")
    ]
    assert importing == ["migrations.py"]
