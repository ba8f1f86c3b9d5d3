"""The rules in words, their thresholds, and what came of each."""

from __future__ import annotations

from starlette.responses import Response

from sentinel.edges.web.request_context import RequestContext
from sentinel.flow.views.rule import in_short
from sentinel.flow.views.rules import rules_page


def show(context: RequestContext) -> Response:
    """Every rule, with all the alerts it ever raised."""
    snapshot = context.snapshot()
    rules = rules_page(snapshot.rules, context.reader.alerts_of(), snapshot.words)
    return context.page(snapshot, page=[(rule, in_short(rule, snapshot.words)) for rule in rules])
