"""Every screen, registered once: its address, view, template, who may see it, and where the menu has it.

The routes, the menu, the lines by which one screen leads to another, and the lists of the tests are made of these.
"""

from __future__ import annotations

from sentinel.edges.web.auth.links import PATH
from sentinel.edges.web.auth.visitors import by_notice
from sentinel.edges.web.handlers import (
    alert,
    box,
    cow,
    feeds,
    find,
    herd,
    history,
    more,
    quarter,
    report,
    rule,
    rules,
    tank,
    tune,
    whole_farm,
    why,
)
from sentinel.edges.web.screen import CHECKS, Screen
from sentinel.flow.views.alert import alert_page
from sentinel.flow.views.box import box_page
from sentinel.flow.views.cow import cow_page
from sentinel.flow.views.feeds import feeds_page
from sentinel.flow.views.find import find_page
from sentinel.flow.views.herd import herd_page
from sentinel.flow.views.history import history_page
from sentinel.flow.views.now import now_page
from sentinel.flow.views.quarter import quarter_page
from sentinel.flow.views.report import report_page
from sentinel.flow.views.round import round_page
from sentinel.flow.views.rule import rule_page
from sentinel.flow.views.rules import rules_page
from sentinel.flow.views.tank import tank_page
from sentinel.flow.views.tune import tune_page
from sentinel.flow.views.why import why_page

FILE = {check: "a file to take along, not a page" for check in CHECKS if check not in ("odd-requests", "golden")}
SAME = {check: "the alert's page, by another address" for check in CHECKS if check != "odd-requests"}

SCREENS = (
    Screen("now", "/", whole_farm.show, now_page, "now", "Now", mark="●", template="now.html"),
    Screen("round", "/round", whole_farm.show, round_page, "round", "Round", mark="✓", template="round.html"),
    Screen("find", "/find", find.show, find_page, "find", "Find", mark="#", template="find.html"),
    Screen("history", "/history", history.show, history_page, "history", "History", mark="≡", template="history.html"),
    Screen("more", "/more", more.show, None, "more", "More", mark="…", template="more.html"),
    Screen("alert", "/alert/{alert:number}", alert.show, alert_page, "now", template="alert.html"),
    Screen(
        "alert",
        PATH + "{token}",
        alert.show_by_notice,
        alert_page,
        "now",
        template="alert.html",
        admits=by_notice,
        left_out=SAME,
    ),
    Screen("why", "/alert/{alert:number}/why", why.show, why_page, "now", template="why.html"),
    Screen("round", "/round/print", whole_farm.show, round_page, "round", "Round", template="round_print.html"),
    Screen(
        "herd",
        "/herd",
        herd.show,
        herd_page,
        "find",
        "The herd",
        listed_on="find",
        line="How the herd is doing: milk, late cows, boxes, cells",
        template="herd.html",
    ),
    Screen("cow", "/cow/{cow}", cow.show, cow_page, "find", template="cow.html"),
    Screen("quarter", "/cow/{cow}/{quarter}", quarter.show, quarter_page, "find", template="quarter.html"),
    Screen("box", "/box/{box}", box.show, box_page, "find", template="box.html"),
    Screen("tank", "/tank/{tank}", tank.show, tank_page, "find", template="tank.html"),
    Screen("history", "/history.csv", history.csv_file, history_page, "history", left_out=FILE),
    Screen("history", "/history.json", history.json_file, history_page, "history", left_out=FILE),
    Screen(
        "feeds",
        "/feeds",
        feeds.show,
        feeds_page,
        "more",
        "Exports",
        listed_on="more",
        line="Exports: what was read, what was set aside",
        template="feeds.html",
    ),
    Screen(
        "rules",
        "/rules",
        rules.show,
        rules_page,
        "more",
        "Rules",
        listed_on="more",
        line="Rules: what is watched, and when you are told",
        template="rules.html",
    ),
    Screen(
        "report",
        "/report",
        report.show,
        report_page,
        "more",
        "What came of the rules",
        listed_on="more",
        line="What came of the rules, month by month",
        template="report.html",
    ),
    Screen("rule", "/rules/{rule}", rule.show, rule_page, "more", template="rule.html"),
    Screen("tune", "/rules/{rule}/tune", tune.show, tune_page, "more", template="tune.html"),
)
"""In the order of the menu, then by what they tell of."""
