"""The rulebook: rules as YAML, with thresholds, classes, urgency, advice and examples.

It knows YAML, units and measures' names; it must not know SQL, channels or the time of day.
"""

from sentinel.flow.rulebook.course import course_of
from sentinel.flow.rulebook.load import load_rules
from sentinel.flow.rulebook.quantities import format_quantity, parse_quantity
from sentinel.flow.rulebook.rule import URGENCIES, Rule, RuleClass
from sentinel.flow.rulebook.schema import rules_schema
from sentinel.flow.rulebook.setting import with_setting
from sentinel.flow.rulebook.together import check_together
from sentinel.flow.rulebook.words import cautions, look_first, say

__all__ = [
    "URGENCIES",
    "Rule",
    "RuleClass",
    "cautions",
    "check_together",
    "course_of",
    "format_quantity",
    "load_rules",
    "look_first",
    "parse_quantity",
    "rules_schema",
    "say",
    "with_setting",
]
