"""The log's chain: a changed, missing or added entry is found where it is."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from sentinel.flow.alerts.chain import START, Logged, chained, first_break, link, list_digest
from sentinel.flow.model import Entry

LOG = chained([Entry(n, "start", n, "r", "cow:7", "Marit", {"n": n}) for n in range(1, 6)], START, 0)


def test_a_chain_goes_on_from_what_stands() -> None:
    """Two parts chained one after the other are the whole."""
    entries = [one.entry for one in LOG]
    first = chained(entries[:2], START, 0)
    assert [*first, *chained(entries[2:], first[-1].hash, 2)] == LOG
    assert first_break(LOG) == first_break([]) == ""


@pytest.mark.parametrize(
    ("field", "value"),
    [("at", 9), ("kind", "stop"), ("alert", None), ("rule", "s"), ("subject", "cow:8"), ("person", ""), ("body", {})],
)
def test_every_part_of_an_entry_is_covered(field: str, value: object) -> None:
    """Whatever is changed in the third entry, it is the third that does not fit."""
    changed = [*LOG]
    changed[2] = replace(LOG[2], entry=replace(LOG[2].entry, **{field: value}))
    assert first_break(changed) == "entry 3 was changed after it was written"


def test_an_entry_with_its_hash_made_anew_breaks_the_next() -> None:
    """Who changes one must change all that follow."""
    entry = replace(LOG[2].entry, body={"n": 99})
    forged = Logged(3, entry, LOG[2].previous, link(LOG[2].previous, 3, entry))
    said = "entry 4 does not follow the one before it: something before it was changed or taken out"
    assert first_break([*LOG[:2], forged, *LOG[3:]]) == said


@pytest.mark.parametrize("missing", [0, 1, 3])
def test_a_missing_entry_is_named(missing: int) -> None:
    """Also the first."""
    said = f"entry {missing + 1} is missing: the next one in the log is number {missing + 2}"
    assert first_break([*LOG[:missing], *LOG[missing + 1 :]]) == said


def test_a_cut_tail_is_not_seen_by_the_chain_alone() -> None:
    """What is left is a whole chain; only a number and hash noted elsewhere can tell."""
    assert first_break(LOG[:3]) == ""


def test_a_replaced_name_keeps_the_chain_and_is_vouched_for() -> None:
    """The entry keeps its hash; a further change of it, or of the list of where a name was replaced, is found."""
    entry = replace(LOG[1].entry, person="somebody")
    rows = [(2, link(LOG[1].previous, 2, entry))]
    said = Entry(6, "name-replaced", body={"list": list_digest(rows), "entries": 1})
    log = [*LOG, *chained([said], LOG[-1].hash, 5)]
    log[1] = replace(LOG[1], entry=entry)
    by = [(6, *row) for row in rows]

    assert first_break(log, by) == ""
    assert first_break(log) == "entry 2 was changed after it was written"
    log[1] = replace(LOG[1], entry=replace(entry, kind="stop"))
    assert first_break(log, by) == "entry 2 was changed after a name in it was replaced"
    assert "the list of where it did was changed" in first_break(log, [(6, 2, link(LOG[1].previous, 2, log[1].entry))])
    assert "the list of where it did was changed" in first_break(LOG, [(4, 2, link(LOG[1].previous, 2, LOG[1].entry))])


def test_what_comes_before_a_replaced_name_cannot_be_made_anew() -> None:
    """The entry's digest covers the hash before it: a beginning that was forged, hashes and all, does not fit."""
    entry = replace(LOG[1].entry, person="somebody")
    rows = [(2, link(LOG[1].previous, 2, entry))]
    said = Entry(6, "name-replaced", body={"list": list_digest(rows), "entries": 1})
    log = [*LOG, *chained([said], LOG[-1].hash, 5)]
    log[1] = replace(LOG[1], entry=entry)
    [forged] = chained([replace(LOG[0].entry, body={"n": 99})], START, 0)
    log[0], log[1] = forged, replace(log[1], previous=forged.hash)

    assert first_break(log, [(6, *row) for row in rows]) == "entry 2 was changed after a name in it was replaced"


def test_a_log_that_was_cut_says_so() -> None:
    """It may begin later where an entry in it names the last that was let go, with its hash."""
    cut = Entry(6, "log-cut", body={"up_to": 2, "hash": LOG[1].hash})
    log = [*LOG, *chained([cut], LOG[-1].hash, 5)]

    assert first_break(log[2:]) == ""
    assert first_break(log) == ""
    assert first_break(log[3:]) == "entry 1 is missing: the next one in the log is number 4"
    assert first_break(LOG[2:]) == "entry 1 is missing: the next one in the log is number 3"


plain = st.one_of(st.none(), st.booleans(), st.integers(), st.floats(allow_nan=False), st.text(max_size=5))
bodies = st.dictionaries(st.text(max_size=5), plain, max_size=3)


@given(st.lists(bodies, min_size=1, max_size=4), st.data())
def test_no_two_logs_share_their_last_hash(told: list[dict[str, object]], data: st.DataObject) -> None:
    """Whatever stands in the entries, another body gives another hash."""
    index = data.draw(st.integers(0, len(told) - 1))
    other = data.draw(bodies.filter(lambda body: repr(sorted(body.items())) != repr(sorted(told[index].items()))))
    log = chained([Entry(1, "start", body=body) for body in told], START, 0)
    changed = chained([Entry(1, "start", body=other if n == index else body) for n, body in enumerate(told)], START, 0)
    assert (log[-1].hash == changed[-1].hash) == (told[index] == other and repr(told[index]) == repr(other))
