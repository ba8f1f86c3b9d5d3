"""A rule as people write it in YAML: which keys there are and what each is for.

The check of keys, the JSON Schema that editors use and the reference in the docs are all made from here. Numbers
are still text with a unit; `load` turns them into a `Rule`.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, WithJsonSchema

from sentinel.flow.rules.quantities import quantity_pattern

Threshold = Annotated[Any, WithJsonSchema({"type": "string", "examples": ["14 h", "15 %", "6.5 mS/cm", "3 failures"]})]
"""A bound in the measure's unit."""

Duration = Annotated[
    Any,
    WithJsonSchema(
        {"type": "string", "pattern": quantity_pattern("duration"), "examples": ["30 s", "90 min", "14 h", "1 d 6 h"]}
    ),
]
"""A length of time."""

DurationOrNever = Annotated[
    Any,
    WithJsonSchema(
        {
            "anyOf": [
                {"const": "never"},
                {"type": "string", "pattern": quantity_pattern("duration"), "examples": ["2 h", "7 d"]},
            ]
        }
    ),
]
"""A length of time, or the word `never`."""

Count = Annotated[Any, WithJsonSchema({"type": "string", "pattern": quantity_pattern("count of times")})]
"""`3 times`."""

Sentence = Annotated[str, Field(max_length=2000)]
"""What is said to people."""

WhereValue = str | int | float | bool
Urgency = Literal["now", "round", "log"]

BOUNDS = ("raise_over", "raise_under", "clear_under", "clear_over", "now_over", "now_under")
"""Keys whose values are in the measure's unit."""


class WrittenBounds(BaseModel):
    """The keys that a rule and its classes share."""

    model_config = ConfigDict(extra="forbid")

    where: dict[str, WhereValue | Annotated[list[WhereValue], Field(max_length=2000)]] = Field(
        {}, description="Only subjects with these attributes, for example {status: milking}. A list is any of them."
    )
    raise_over: Threshold = Field(None, description="The alert is raised when the value is over this bound.")
    raise_under: Threshold = Field(None, description="The alert is raised when the value is under this bound.")
    clear_under: Threshold = Field(
        None, description="With raise_over: the alert ends only under this bound. Left out: at raise_over itself."
    )
    clear_over: Threshold = Field(
        None, description="With raise_under: the alert ends only over this bound. Left out: at raise_under itself."
    )
    now_over: Threshold = Field(None, description="Over this bound the same alert goes to the phone at once.")
    now_under: Threshold = Field(None, description="Under this bound the same alert goes to the phone at once.")
    lasting: Duration = Field(None, description="How long the value must be past its bound before the alert is raised.")


class WrittenClass(WrittenBounds):
    """Bounds of their own for some subjects; the first class that fits counts, what it leaves out the rule gives."""

    urgency: Urgency | None = Field(None, description="Urgency for this class.")


class WrittenRule(WrittenBounds):
    """One rule."""

    rule: str = Field(
        description="The rule's name: small letters, digits and hyphens.",
        json_schema_extra={"pattern": "^[a-z][a-z0-9]*(-[a-z0-9]+)*$"},
    )
    measure: str = Field(description="Which measure it watches.")
    per: str | None = Field(None, description="Per what, where the measure can be taken per several things.")
    options: dict[str, Any] = Field({}, description="Settings of the measure, for example {within: 6 h}.")
    classes: list[WrittenClass] = Field(
        [], max_length=50, description="Bounds for some subjects; the first that fits counts."
    )
    urgency: Urgency = Field(
        description="now: to the phone at once. round: on the list before the next round. log: only kept."
    )
    covered_by: list[str] = Field(
        [],
        max_length=50,
        description="Rules that explain this one: while such an alert stands, this one is kept but not pushed.",
    )
    again_within: DurationOrNever = Field(
        None, description="Back within this time it is the same alert again, not a new one. Left out: never."
    )
    remind_every: DurationOrNever = Field(
        None, description="Remind this often until somebody answers. Left out: never."
    )
    remind_most: Count = Field(None, description='Remind at most so often, for example "3 times", which is the usual.')
    together: DurationOrNever = Field(
        None,
        description="The first rings at once; those that follow within this time come in one notice. Left out: never.",
    )
    over_after: DurationOrNever = Field(
        None, description="An alert older than this ends by itself. Left out: it ends only with its condition."
    )
    say: Sentence = Field(
        description='The sentence, with places to fill: "Cow {cow} not milked for {value}". A part in square brackets '
        'falls out where a place in it is not known: "[, {kg_a_day} kg a day]", or says what stands after its bar '
        'instead: "[{because}|signs in her milk]". A count with its word for one and for more: "{visits|visit|visits}".'
    )
    caution: list[Sentence] = Field(
        [],
        max_length=30,
        description="What to mind before anything is looked at: safety, the vet, milk to be kept apart. Said first, "
        "and never cut short.",
    )
    look_first: list[Sentence] = Field([], max_length=30, description="What to look at first, in the order to look.")
    findings: list[Sentence] = Field(
        [], max_length=30, description="What a person may answer; left out: seen to, nothing found."
    )
    about: str = Field("", description="What the bound means, where it comes from, how to tune it.")
    examples: list[dict[str, Any]] = Field(
        [],
        max_length=100,
        description="Small tables of rows and what the rule must say of them; run by check and by the tests.",
    )
