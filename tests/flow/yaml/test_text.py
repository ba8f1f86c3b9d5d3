"""Settings files against their shape: every problem at once, each with its place and what was meant."""

from __future__ import annotations

from pydantic import BaseModel, ConfigDict, field_validator

from sentinel.flow.model import Source
from sentinel.flow.yaml.text import MOST_TOLD, Document, did_you_mean, hint, read_yaml, validate


class Chore(BaseModel):
    """A chore as a file may name it."""

    model_config = ConfigDict(extra="forbid")

    places: list[int]
    every_h: float = 24

    @field_validator("every_h")
    @classmethod
    def _positive(cls, value: float) -> float:
        if value <= 0:
            raise ValueError("A chore needs some time")
        return value


class Farm(BaseModel):
    """A farm as a file may describe it."""

    model_config = ConfigDict(extra="forbid")

    name: str
    chores: list[Chore] = []


def problems(text: str) -> list[str]:
    """What is wrong with a farm's file, as a person sees it."""
    document, wrong = read_yaml(text, "farm.yaml")
    return [str(one) for one in wrong or validate(Farm, document.data, document)[1]]


def test_a_file_that_fits_is_its_model() -> None:
    """Nothing is said of it."""
    document, wrong = read_yaml("name: x\nchores: [{places: [1]}]", "farm.yaml")
    farm, more = validate(Farm, document.data, document)

    assert (wrong, more) == ([], [])
    assert farm is not None
    assert farm.chores[0].places == [1]


def test_each_problem_is_told_at_its_place() -> None:
    """Unknown keys with the key that was meant, missing ones at what lacks them, wrong values with what was found."""
    assert problems("nam: x\nchores:\n  - {places: [1, b], evry_h: 3}\n  - {places: [], every_h: 0}\n") == [
        "farm.yaml:1:1: name: is missing and must be given",
        "farm.yaml:3:18: chores.0.places.1: should be a valid integer, unable to parse string as an integer "
        "(found 'b')",
        'farm.yaml:3:22: evry_h: unknown key (did you mean "every_h"?)',
        "farm.yaml:4:18: chores.1.every_h: a chore needs some time",
        'farm.yaml:1:1: nam: unknown key (did you mean "name"?)',
    ]


def test_what_is_no_yaml_is_one_problem() -> None:
    """With the place at which it stops being any."""
    assert problems("name: [") == [
        "farm.yaml:1:8: this is not valid YAML: expected the node content, but found '<stream end>'"
    ]


def test_of_very_many_problems_some_are_told_and_the_others_counted() -> None:
    """A file that has more is another file."""
    found = problems("name: x\n" + "".join(f"k{n}: 1\n" for n in range(MOST_TOLD + 20)))

    assert len(found) == MOST_TOLD + 1
    assert found[-1].endswith("and 20 more like these")


def test_what_is_not_in_the_file_stands_where_its_parent_does() -> None:
    """Down to the file itself."""
    document = Document("farm.yaml", {}, {(): (1, 1), ("chores",): (2, 1), ("chores", "filter"): (3, 3)})

    assert document.source(("chores", "filter", "places", 0)) == Source("farm.yaml", 3, 3)
    assert document.source(("chores", "wash")) == Source("farm.yaml", 2, 1)
    assert document.source(("boxes",)) == Source("farm.yaml", 1, 1)


def test_a_misspelt_word_is_answered_with_the_nearest_or_with_all() -> None:
    """And with nothing where nothing is known."""
    assert did_you_mean("lactaton", ["group", "lactation"]) == ' (did you mean "lactation"?)'
    assert did_you_mean("colour", ["group", "lactation"]) == " (known here: group, lactation)"
    assert did_you_mean("colour", []) == ""
    assert hint("colour", []) is None
    assert did_you_mean("colour", (f"w{n}" for n in range(1000))).endswith("w39, …)")
