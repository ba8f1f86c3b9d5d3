"""YAML text to plain values, keeping where each key and item stands, so that errors can say `file:line:column`.

YAML 1.2 by ruamel.yaml: `no` stays a word, `06:30` stays text, a key written twice is an error.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import islice
from typing import Any, TypeVar

from pydantic import BaseModel, ValidationError

from sentinel.flow.bounds import legible
from sentinel.flow.model import Problem, Source
from sentinel.flow.reasons import Reason
from sentinel.flow.yaml.plain import NotRead, plain

MOST_TOLD = 50
"""So many problems of one kind of thing are told; a file that has more is another file."""

LONGEST_WORD = 200
"""So much of a misspelt word is compared with those that are known."""

_MOST_CHOICES = 5000
_MOST_NAMED = 40
"""So many words are looked through for the one that was meant, and so many are named: an export may have any number."""

Path = tuple[str | int, ...]
M = TypeVar("M", bound=BaseModel)


@dataclass(frozen=True, slots=True)
class Document:
    """A parsed YAML file: plain Python values (`dict`, `list`, `str`, `int`, `float`, `bool`, None) and positions."""

    name: str
    data: Any
    places: Mapping[Path, tuple[int, int]] = field(default_factory=dict)

    def source(self, path: Sequence[str | int]) -> Source:
        """Where the value at `path` stands; if it is not in the file, where its nearest parent does."""
        steps = tuple(path)
        while steps and steps not in self.places:
            steps = steps[:-1]
        line, column = self.places.get(steps, (1, 1))
        return Source(self.name, line, column)


def read_yaml(text: str, name: str) -> tuple[Document, list[Problem]]:
    """Parse YAML text; syntax errors come back as problems with their position and an empty document."""
    try:
        data, places = plain(text)
    except NotRead as error:
        return Document(name, None), [Problem(Source(name, *error.place), str(error))]
    return Document(name, data, places), []


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """` (did you mean "raise_over"?)` for a near miss, else ` (known here: ...)`.

    >>> did_you_mean("raise_ovr", ["raise_over", "urgency"])
    ' (did you mean "raise_over"?)'
    >>> did_you_mean("colour", ["raise_over", "urgency"])
    ' (known here: raise_over, urgency)'
    """
    nearest = hint(word, known)
    return "" if nearest is None else f" {nearest}"


def hint(word: str, known: Iterable[str], named: int = _MOST_NAMED) -> Reason | None:
    """The same as the reason that goes with another, with at most so many words named; None if nothing is known."""
    from rapidfuzz import fuzz, process  # noqa: PLC0415  (3 MB, and only what is misspelt needs it)

    choices = [legible(one) for one in islice(known, _MOST_CHOICES)]
    near = process.extractOne(word[:LONGEST_WORD], choices, scorer=fuzz.ratio, score_cutoff=70)
    if near:
        return Reason("did-you-mean", word=f'"{near[0]}"')
    more = ", …" if len(choices) > named else ""
    return Reason("known-here", words=f"{', '.join(choices[:named])}{more}") if choices else None


def validate(model: type[M], data: Any, document: Document, place: Path = ()) -> tuple[M | None, list[Problem]]:
    """Check `data` (the part of `document` at path `place`) against a pydantic model; all problems at once.

    A model's own validators raise ValueError with a sentence for a person; unknown keys get a suggestion from
    the fields of the model they stand in.
    """
    try:
        return model.model_validate(data), []
    except ValidationError as error:
        faults = error.errors(include_url=False, include_context=False)
        problems = [_problem(model, data, document, place, one) for one in faults[:MOST_TOLD]]
        if len(faults) > MOST_TOLD:
            problems.append(Problem(problems[-1].source, f"and {len(faults) - MOST_TOLD:,} more like these"))
        return None, problems


def _problem(model: type[BaseModel], data: Any, document: Document, place: Path, error: Any) -> Problem:
    """One pydantic error as a problem with a place and a plain sentence."""
    inside = _steps_in(data, error["loc"])
    label = ".".join(str(step) for step in inside)
    kind = error["type"]
    if kind == "extra_forbidden":
        known = _fields_at(model, inside[:-1])
        sentence = f"{inside[-1]}: unknown key{did_you_mean(str(inside[-1]), known)}"
        return Problem(document.source((*place, *inside)), sentence)
    if kind == "missing":
        return Problem(document.source((*place, *inside)), f"{error['loc'][-1]}: is missing and must be given")
    message = str(error["msg"]).removeprefix("Value error, ")
    message = (message[:1].lower() + message[1:]).removeprefix("input ").replace("a valid string", "text")
    given = error.get("input")
    shown = "" if kind == "value_error" or isinstance(given, dict | list) else f" (found {repr(given)[:80]})"
    return Problem(document.source((*place, *inside)), f"{label}: {message}{shown}" if label else message)


def _steps_in(data: Any, loc: Sequence[str | int]) -> Path:
    """The part of a pydantic location that is really in the document (union tags are left out)."""
    steps: list[str | int] = []
    here = data
    for index, step in enumerate(loc):
        last = index == len(loc) - 1
        if isinstance(here, Mapping) and step in here:
            here = here[step]
            steps.append(step)
        elif isinstance(here, list) and isinstance(step, int) and step < len(here):
            here = here[step]
            steps.append(step)
        elif last and isinstance(here, Mapping) and isinstance(step, str) and "[" not in step:
            pass  # a missing key: the place is its parent
    return tuple(steps)


def _fields_at(model: type[BaseModel], path: Path) -> list[str]:
    """The YAML keys that the model at `path` inside `model` knows."""
    here: Any = model
    for step in path:
        if isinstance(step, int):
            continue
        model_here = None
        for name, info in getattr(here, "model_fields", {}).items():
            if step in (name, info.alias):
                model_here = _model_in(info.annotation)
        here = model_here
        if here is None:
            return []
    return [info.alias or name for name, info in here.model_fields.items()]


def _model_in(annotation: Any) -> type[BaseModel] | None:
    """The first pydantic model inside a type annotation such as `tuple[RuleClass, ...] | None`."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    for part in getattr(annotation, "__args__", ()):
        inner_model = _model_in(part)
        if inner_model:
            return inner_model
    return None
