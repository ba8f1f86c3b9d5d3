"""One rule: when it raises an alert, and what came of it."""

from __future__ import annotations

from starlette.exceptions import HTTPException
from starlette.responses import Response

from sentinel.edges.web.request_context import RequestContext
from sentinel.flow.tuning.trial import can_be_tried
from sentinel.flow.views.rule import MONTH_S, rule_page


def show(context: RequestContext) -> Response:
    """The rule that the address names; 404 if the farm has none of that name."""
    snapshot, reader = context.snapshot(), context.reader
    rule = snapshot.rules.get(context.parameter("rule"))
    if rule is None:
        raise HTTPException(404)
    alerts = [alert for alert in reader.alerts_of() if alert.rule == rule.name]
    notices = reader.log(kind="notice", since=snapshot.at - MONTH_S)
    return context.page(
        snapshot, page=rule_page(rule, alerts, notices, snapshot.at, snapshot.words), can_be_tried=can_be_tried(rule)
    )
