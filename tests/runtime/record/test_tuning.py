"""What a rule's bounds are tried on, read from a store."""

from __future__ import annotations

import gc
import random
import time
import weakref
from concurrent.futures import ThreadPoolExecutor

import pytest
from text_tables import DAY_0
from whole.whole_farm import LATE_COW, setup_of

from sentinel.edges.store import Store
from sentinel.edges.store.exports.ingest import ingest
from sentinel.flow.model import DAY_S, Batch, Rows
from sentinel.flow.rules import Rule, Setting
from sentinel.flow.setup import Setup
from sentinel.flow.tuning.sweep import History, Tried, tried
from sentinel.flow.tuning.trial import LOOKS_BACK_S, Trial
from sentinel.flow.views.tune import tune_page
from sentinel.runtime.record.replay import past_of
from sentinel.runtime.record.tuning import KEPT_FOR_S, Trials, history

DAYS = 140
UNTIL = DAY_0 + DAYS * DAY_S


@pytest.fixture(scope="module")
def setup() -> Setup:
    """A farm with the rule on late cows."""
    return setup_of(LATE_COW)


@pytest.fixture(scope="module")
def store() -> Store:
    """Four cows over twenty weeks, that come every seven to eighteen hours."""
    draw, found = random.Random(1), Store(None)
    visits = []
    for cow in "1234":
        at = DAY_0
        while at < UNTIL:
            visits.append((cow, at, "1", "milked"))
            at += draw.randint(7 * 3600, 18 * 3600)
    visits.sort(key=lambda row: (row[1], row[0]))
    found.put_meta("watched_since", str(DAY_0))
    for day in range(DAYS):
        begin = DAY_0 + day * DAY_S
        some = tuple(row for row in visits if begin <= row[1] < begin + DAY_S)
        rows = Rows("visits", ("cow", "start", "box", "outcome"), some, (0,) * len(some))
        ingest(found, Batch("milkings", f"{day}.csv", (rows,)), begin + DAY_S)
    return found


def test_two_months_are_tried_as_they_are_in_the_whole_past(store: Store, setup: Setup) -> None:
    """What lies before them is not read, and changes nothing."""
    trial = Trials(store).of(setup, "late-cow", UNTIL)
    assert trial is not None
    whole = history(store, setup, setup.rules["late-cow"], trial.history.since)

    assert trial.history.until - trial.history.since == LOOKS_BACK_S
    assert len(trial.history.tables.visits) < len(whole.tables.visits)
    for place in (0, 15, trial.own, 30):
        found, _ = trial.at(place)
        assert found is not None
        assert found.raised == tried(whole, found.rule).raised
    assert len(trial.now.raised) > 50
    assert tune_page(trial, 30).tried.alerts < tune_page(trial).now.alerts


def test_what_is_laid_out_serves_for_a_while(store: Store, setup: Setup) -> None:
    """Then, and for another rule of the name, it is laid out anew."""
    trials = Trials(store)
    first = trials.of(setup, "late-cow", UNTIL)

    assert trials.of(setup, "late-cow", UNTIL + KEPT_FOR_S) is first
    assert trials.of(setup, "late-cow", UNTIL + KEPT_FOR_S + 1) is not first
    other = setup_of(LATE_COW.replace("14 h", "15 h"))
    changed = trials.of(other, "late-cow", UNTIL + KEPT_FOR_S + 2)
    assert changed is not None
    assert changed.history.rule.raise_over == 15
    assert trials.of(setup, "no-such-rule", UNTIL) is None


def test_what_is_old_is_let_go_of(store: Store, setup: Setup) -> None:
    """A phone that has gone on to other things does not keep two months of readings in memory."""
    trials = Trials(store)
    trial = weakref.ref(_laid_out(trials, setup).peaks.value)
    trials.forget_old(UNTIL + KEPT_FOR_S)
    gc.collect()
    assert trial() is not None
    trials.forget_old(UNTIL + KEPT_FOR_S + 1)
    gc.collect()
    assert trial() is None


def _laid_out(trials: Trials, setup: Setup) -> Trial:
    trial = trials.of(setup, "late-cow", UNTIL)
    assert trial is not None
    return trial


def test_many_askers_have_each_bound_worked_out_once(
    store: Store, setup: Setup, monkeypatch: pytest.MonkeyPatch
) -> None:
    """One after the other, whatever they ask at the same time."""
    trial, at_work, most = _laid_out(Trials(store), setup), [0], [0]
    asked: list[object] = []

    def slowly(history: History, rule: Rule, settings: tuple[Setting, ...] = ()) -> Tried:
        asked.append(settings)
        at_work[0] += 1
        most[0] = max(most[0], at_work[0])
        time.sleep(0.02)
        at_work[0] -= 1
        return tried(history, rule, settings)

    monkeypatch.setattr("sentinel.flow.tuning.trial.tried", slowly)
    with ThreadPoolExecutor(8) as pool:
        list(pool.map(trial.at, [10, 11, 12, 10] * 4))

    assert (len(asked), most[0]) == (3, 1)


def test_of_a_past_only_what_is_looked_at_is_read(store: Store, setup: Setup) -> None:
    """As the window of a running service has it."""
    since = UNTIL - 30 * DAY_S
    visits = past_of(store, setup, since=since).tables.visits

    assert DAY_0 < int(visits["start"].iloc[0]) <= since - 30 * DAY_S
