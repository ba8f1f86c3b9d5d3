"""Sentences that the store keeps in English are known again, so that they can be said in the farm's language."""

import ast
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import pytest

from sentinel.edges import notifier, services
from sentinel.flow import mapping
from sentinel.flow.kept import in_words, said_again
from sentinel.flow.language import Said, english

READERS = ("read", "values", "times", "delimited", "sheet", "json_lines", "icar", "icar_part", "decoding")
"""Modules that say why a row or a file was set aside."""

BUILT = {"opened.refused", "reason", "refused", "HALF"}

NO_REASONS = {
    "its sheet 7; the column titles should stand in row 7": "`has only {n} rows` or `is empty` is put in",
    "it 7; the column titles should stand on line 7": "the same, with lines",
    "7: 77": "what pydantic says of an ICAR item; of its messages only `is missing` is ours",
    "7 is not 7": "one of the two forms of a time is put in",
    '"7": 7': "a title before a reason",
    "7 is not a number7": "with or without a hint of the decimal mark",
    "7 is not in the map's word table7": "with or without a hint of a near word",
    'it has no sheet "7"7': "the same",
    "its titles lack 7": "",
}
"""Texts of these modules that are put together of several; each of those is tried below as it is said."""


def texts() -> Iterator[str]:
    """What the readers may give as a reason, with 7 for whatever is put in."""
    for name in READERS:
        tree = ast.parse((Path(mapping.__file__).parent / f"{name}.py").read_text(encoding="utf-8"))
        for node in ast.walk(tree):
            if isinstance(node, ast.Raise) and isinstance(node.exc, ast.Call) and node.exc.args:
                yield from _said(node.exc.args[0])
            elif isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) in BUILT:
                yield from _said(node.value)
            elif isinstance(node, ast.Call) and ast.unparse(node.func).endswith(".fault"):
                yield from (f'"7": {why}' for why in _said(node.args[1]))
            elif isinstance(node, ast.Call) and ast.unparse(node.func).endswith(".faults.append"):
                yield from _said(node.args[0])
            elif isinstance(node, ast.keyword) and node.arg == "refused":
                yield from _said(node.value)


def _said(node: ast.expr) -> Iterator[str]:
    match node:
        case ast.Constant(value=str(text)) if " " in text:
            yield text
        case ast.JoinedStr():
            yield "".join(str(part.value) if isinstance(part, ast.Constant) else "7" for part in node.values)


def test_every_reason_of_the_readers_is_known_again() -> None:
    """A reason that was changed, or is new, is added to `flow/kept.py` and to the catalogue."""
    found = set(texts())

    assert len(found) > 30
    assert {text for text in found - set(NO_REASONS) if not isinstance(said_again(text), Said)} == set()


def test_what_a_channel_said_is_known_again() -> None:
    """The notifier's own few sentences about a message that did not arrive."""
    tree = ast.parse(Path(notifier.__file__).read_text(encoding="utf-8"))
    found = set()
    for node in ast.walk(tree):
        parts = node.elts if isinstance(node, ast.Tuple) else node.args if isinstance(node, ast.Call) else []
        for before, after in pairwise(parts):
            if isinstance(before, ast.Constant) and before.value in ("failed", "unknown"):
                found |= set(_said(after))
    found |= {services.REFUSED, services.NO_ANSWER, f"{services.ANSWERED}503"}
    found |= {services.why_not(packages) for packages in (None, [], ["paho-mqtt >= 2.1.0"])}

    assert len(found) > 7
    assert {text for text in found if not isinstance(said_again(text), Said)} == set()


@pytest.mark.parametrize(
    ("kept", "template", "places"),
    [
        ('"Cond LF": "5,9x" is not a number', "{what} is not a number", {"what": '"Cond LF": "5,9x"'}),
        (
            '"Kg": "5.9" is not a number with the decimal mark ","',
            "{what} is not a number with the decimal mark {mark}",
            {"what": '"Kg": "5.9"', "mark": '","'},
        ),
        (
            '"In": "32.05." is not a time like 28.03.',
            "{what} is not a time like {form}",
            {"what": '"In": "32.05."', "form": "28.03."},
        ),
        ("item 3: gives one quarter twice", "item {n}: {why}", {"n": "3", "why": "gives one quarter twice"}),
        (
            'item 3: "milkingMilkWeight.unitCode": the unit "LTR" is not known here (known: KGM, GRM, LBR)',
            "item {n}: {why}",
            {"n": "3", "why": '"milkingMilkWeight.unitCode": the unit "LTR" is not known here (known: KGM, GRM, LBR)'},
        ),
        (
            '"How": "mlked" is not in the map\'s word table (did you mean "milked"?)',
            "{what} is not in the map's word table {hint}",
            {"what": '"How": "mlked"', "hint": '(did you mean "milked"?)'},
        ),
        (
            'its titles lack "Cow" (known here: Kuh, Box); is the map\'s delimiter right?',
            "its titles lack {titles}; is the map's delimiter right?",
            {"titles": '"Cow" (known here: Kuh, Box)'},
        ),
        (
            "its sheet has only 2 rows; the column titles should stand in row 4",
            "its sheet has only {few|row|rows}; the column titles should stand in row {n}",
            {"few": "2", "n": "4"},
        ),
        ('it has no sheet "May"', "it has no sheet {sheet}", {"sheet": '"May"'}),
        (
            'it has no sheet "May log" (known here: April, June)',
            "it has no sheet {sheet} {hint}",
            {"sheet": '"May log"', "hint": "(known here: April, June)"},
        ),
        (
            "item 2: animal.id: is missing (and 3 more)",
            "item {n}: {why}",
            {"n": "2", "why": "animal.id: is missing (and 3 more)"},
        ),
    ],
)
def test_a_reason_is_taken_apart_as_it_was_put_together(kept: str, template: str, places: dict[str, str]) -> None:
    """What is the row's own stays as it was; what is a sentence itself is one again."""
    found = said_again(kept)

    assert isinstance(found, Said)
    assert (found.template, found.values) == (template, places)
    assert found == kept
    assert in_words(kept, english()) == kept
    assert all(isinstance(found.values[name], Said) for name in ("why", "hint") if name in found.values)
