"""The JSON Schema of a rules file, with which editors complete and check rules while they are written."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from sentinel.flow import measures as registry
from sentinel.flow.measures.base.shape import Measure
from sentinel.flow.rules.quantities import USUAL, kind_of_unit, quantity_pattern
from sentinel.flow.rules.where import ATTRIBUTES
from sentinel.flow.rules.written import BOUNDS, WrittenRule
from sentinel.flow.tables import Column


def rules_schema(measures: Sequence[Measure] | None = None) -> dict[str, Any]:
    """The schema of a rules file: its keys, the measures, and per measure its units and settings."""
    known = registry.MEASURES if measures is None else measures
    rule = WrittenRule.model_json_schema()
    shared = rule.pop("$defs", {})
    properties = rule["properties"]
    properties["measure"] |= {"enum": [measure.name for measure in known]}
    for owner in (properties, shared["WrittenClass"]["properties"]):
        for key in owner:
            _without_null(owner, key)
        owner["where"] = {"$ref": "#/$defs/where", "description": owner["where"]["description"]}
    rule["allOf"] = [_of_measure(measure) for measure in known]
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "Rules",
        "type": "array",
        "items": rule,
        "$defs": shared | {"where": _where()} | {_word(kind): _quantity(kind) for kind in USUAL},
    }


def _without_null(owner: dict[str, Any], key: str) -> None:
    """A key that is not needed is left out, never written as null."""
    part = owner[key]
    if part.get("default", ...) is None:
        del part["default"]
    choices = [choice for choice in part.get("anyOf", []) if choice != {"type": "null"}]
    if len(choices) == 1:
        del part["anyOf"]
        part |= choices[0]


def _of_measure(measure: Measure) -> dict[str, Any]:
    """What a rule on this measure may say: its kinds of subject, its unit, its settings."""
    bound = _ref(measure.unit)
    of_class = {"properties": {key: bound for key in BOUNDS}}
    options = {option.name: {**_ref(option.unit), "description": option.doc} for option in measure.options}
    then: dict[str, Any] = {
        "properties": {
            "per": {"enum": list(measure.per)},
            "options": {"properties": options, "additionalProperties": False},
            "classes": {"items": of_class},
            **{key: bound for key in BOUNDS},
        }
    }
    if len(measure.per) > 1:
        then["required"] = ["per"]
    return {"if": {"properties": {"measure": {"const": measure.name}}, "required": ["measure"]}, "then": then}


def _word(kind: str) -> str:
    """A kind of quantity as one word, under which the schema defines it once."""
    return kind.replace(" ", "_")


def _ref(unit: str) -> dict[str, Any]:
    return {"$ref": f"#/$defs/{_word(kind_of_unit(unit))}"}


def _quantity(kind: str) -> dict[str, Any]:
    return {"type": "string", "pattern": quantity_pattern(kind), "examples": [USUAL[kind]]}


def _where() -> dict[str, Any]:
    """The attributes that any kind of subject has; `check` says which of them a rule may ask."""
    columns: dict[str, Column] = {}
    for column in (column for kind in ATTRIBUTES.values() for column in kind):
        columns.setdefault(column.name, column)
    return {
        "type": "object",
        "properties": {name: _attribute(column) for name, column in columns.items()},
        "additionalProperties": False,
    }


def _attribute(column: Column) -> dict[str, Any]:
    """The values of one attribute: one of them, or a list."""
    value_schema: dict[str, Any] = {"type": ["string", "number"]}
    if column.kind in ("number", "count"):
        value_schema = {"type": "number"}
    if column.kind == "word":
        value_schema = {"enum": list(column.words)}
    return {"anyOf": [value_schema, {"type": "array", "items": value_schema, "minItems": 1}], "description": column.doc}
