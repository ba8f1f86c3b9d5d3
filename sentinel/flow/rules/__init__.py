"""The rulebook: rules as YAML, with thresholds, classes, urgency, advice and examples.

It knows YAML, units and measures' names; it must not know SQL, channels or the time of day.
"""

from sentinel.flow.rules.course import Way, course_of, way_of
from sentinel.flow.rules.load import load_rules
from sentinel.flow.rules.quantities import format_quantity, parse_quantity
from sentinel.flow.rules.rule import URGENCIES, Rule, RuleClass
from sentinel.flow.rules.schema import rules_schema
from sentinel.flow.rules.setting import Setting, document_of, with_settings
from sentinel.flow.rules.together import check_together
from sentinel.flow.rules.words import cautions, look_first, say

__all__ = [
    "URGENCIES",
    "Rule",
    "RuleClass",
    "Setting",
    "Way",
    "cautions",
    "check_together",
    "course_of",
    "document_of",
    "format_quantity",
    "load_rules",
    "look_first",
    "parse_quantity",
    "rules_schema",
    "say",
    "way_of",
    "with_settings",
]
