"""The schema that editors use: the one that ships is up to date, and knows every measure and every key."""

from __future__ import annotations

import json
from pathlib import Path

from sentinel.flow.measures import MEASURES
from sentinel.flow.rules import rules_schema
from sentinel.flow.rules.quantities import UNITS, quantity_pattern

RULES = Path(__file__).parents[3] / "rules"


def test_the_schema_file_is_up_to_date() -> None:
    """rules/rules.schema.json is what `rules_schema()` gives.

    To write it again: python -c "import json; from sentinel.flow.rules import rules_schema as s;
    print(json.dumps(s(), indent=2, ensure_ascii=False))" > rules/rules.schema.json
    """
    assert json.loads((RULES / "rules.schema.json").read_text("utf-8")) == rules_schema()


def test_the_schema_names_every_measure_with_its_unit() -> None:
    """An editor offers every measure, and per measure accepts bounds in its unit only."""
    schema = rules_schema()

    assert schema["items"]["properties"]["measure"]["enum"] == [measure.name for measure in MEASURES]
    for measure, part in zip(MEASURES, schema["items"]["allOf"], strict=True):
        word = part["then"]["properties"]["raise_over"]["$ref"].removeprefix("#/$defs/")
        assert part["if"]["properties"]["measure"]["const"] == measure.name
        assert schema["$defs"][word]["pattern"] == quantity_pattern(UNITS[measure.unit].kind)


def test_the_schema_knows_the_keys_that_the_rulebook_knows() -> None:
    """No key is needed, or refused, by one of them only."""
    schema = rules_schema()["items"]

    assert schema["additionalProperties"] is False
    assert set(schema["required"]) == {"rule", "measure", "urgency", "say"}
    assert all(part.get("description") for part in schema["properties"].values())
