"""Reasons that schema 6 kept as English sentences become codes and values, and say the same."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from pathlib import Path

import pytest
from edges.store.schema.bad_exports import DETAILS, ENDS, batches
from hypothesis import given
from hypothesis import strategies as st

from sentinel.edges.locales import words_in
from sentinel.edges.store import Store
from sentinel.edges.store.alerts import all_alerts
from sentinel.edges.store.database import fetch
from sentinel.edges.store.exports.feeds import forget_later, put_seen
from sentinel.edges.store.schema.sentences_v6 import LONGEST, PLACE, SENTENCES, as_reason
from sentinel.flow import reasons
from sentinel.flow.alerts.lifecycle import AGED, ENDED, UNUSED, UNWATCHED
from sentinel.flow.decide import LATER
from sentinel.flow.reasons import Reason, from_json, in_english, in_words, to_json

HERE = Path(__file__).parent
SIXTH = HERE / "released" / "reasons_v6.sql"
"""A store as schema 6 wrote it, into which the exports of `bad_exports` were read; never made anew."""

VALUES = {"n": "3", "few": "2", "width": "7", "why": "is nested too deeply", "hint": '(did you mean "x"?)'}


@pytest.fixture
def opened(tmp_path: Path) -> tuple[sqlite3.Connection, Store]:
    """That store as it was, and brought up to date."""
    was, path = sqlite3.connect(":memory:"), tmp_path / "sentinel.db"
    for conn in (was, sqlite3.connect(path)):
        conn.executescript(SIXTH.read_text(encoding="utf-8"))
        conn.commit()
    return was, Store(path)


@pytest.fixture
def said_then(monkeypatch: pytest.MonkeyPatch) -> Callable[[Reason | None], str]:
    """A reason in the English of schema 6, whatever its code says today."""

    def said(reason: Reason | None) -> str:
        with monkeypatch.context() as then:
            then.setattr(reasons, "_SENTENCES", {**reasons.CATALOGUE, **reasons.EARLIER, **dict(SENTENCES)})
            return in_english(reason)

    return said


def column(store: Store | sqlite3.Connection, sql: str) -> list[str]:
    """The one column of a query."""
    rows = fetch(store, sql) if isinstance(store, Store) else store.execute(sql).fetchall()
    return [row[0] for row in rows]


@pytest.mark.parametrize(
    "sql",
    [
        "select reason from set_aside order by id",
        "select reason from files order by id",
        "select detail from deliveries order by notice",
        "select over_why from alerts order by id",
    ],
)
def test_every_reason_of_a_store_of_schema_6_says_the_same(
    opened: tuple[sqlite3.Connection, Store], said_then: Callable[[Reason | None], str], sql: str
) -> None:
    """In English as it was there, and as a code of the catalogue."""
    was, store = opened
    kept = [from_json(text) for text in column(store, sql)]

    assert [said_then(reason) for reason in kept] == column(was, sql)
    assert [str(reason) for reason in kept if reason is not None and reason.code == "as-said"] == []
    store.verify()


PASSED_OVER = {'item 2: is a "icarWeightEvent", not a milking visit'}
"""What was set aside then, and is passed over now: resources of the standard that have no place here."""


def test_a_reason_of_schema_6_is_that_which_is_found_today(opened: tuple[sqlite3.Connection, Store]) -> None:
    """The same exports give the same codes and values now; but for hints within titles and what a library said."""
    _, store = opened
    kept = [from_json(text) for text in column(store, "select reason from set_aside order by id")]
    before = [reason for reason in kept if str(reason) not in PASSED_OVER]
    assert len(kept) == len(before) + len(PASSED_OVER)
    now = [one.reason for batch in batches() for one in batch.set_aside]

    assert [str(reason) for reason in before] == [str(reason) for reason in now]
    unlike = [str(reason) for reason, other in zip(before, now, strict=True) if reason != other]
    assert len(now) > 60
    assert [said for said in unlike if not said.startswith("its titles lack") and "input should be" not in said] == []
    assert len(unlike) == 3
    assert len({reason.code for reason in now if reason}) > 30


def test_why_alerts_ended_and_what_channels_said_is_kept_as_codes(opened: tuple[sqlite3.Connection, Store]) -> None:
    """Alerts are carried on by their code: one that was let go for its age is not raised anew."""
    _, store = opened

    assert [alert.over_why for alert in all_alerts(store)] == [AGED, ENDED, UNWATCHED, UNUSED, None]
    assert len(ENDS) == 5
    codes = [reason.code if reason else "" for reason in map(from_json, column(store, "select detail from deliveries"))]
    assert len(set(codes)) == len(DETAILS)


def test_rows_dated_later_are_known_again_by_their_code() -> None:
    """They are read again once that moment has come, also where an earlier version had set them aside."""
    assert as_reason(dict(SENTENCES)[LATER.code]) == to_json(LATER)
    store = Store(None)
    with store.writing() as conn:
        conn.execute(
            "insert into files (id, feed, file, at, sha256, rows_read, rows_set_aside, reason) "
            "values (1, 'f', 'a.csv', 5, '', 1, 1, ?)",
            (to_json(LATER),),
        )
        conn.execute(
            "insert into set_aside (file_id, line, row, reason, begins) values (1, 2, 'x', ?, 50)", (to_json(LATER),)
        )
    put_seen(store, ("a.csv", 1, 1, 1, 1, ""))

    assert forget_later(store, 50) == ["a.csv"]


@pytest.mark.parametrize(("code", "sentence"), SENTENCES, ids=[code for code, _ in SENTENCES])
def test_every_sentence_of_schema_6_is_a_reason_that_is_known_today(
    said_then: Callable[[Reason | None], str], code: str, sentence: str
) -> None:
    """Whatever becomes of the catalogue: the codes that stores were given stay."""
    text = PLACE.sub(
        lambda found: VALUES.get(found[1], f'"{found[1]}"') + (" " + found[2].split("|")[-1] if found[2] else ""),
        sentence,
    )
    reason = from_json(as_reason(text))

    assert reason is not None
    assert (reason.code, said_then(reason)) == (code, text)
    assert to_json(reason) == as_reason(text)
    german = in_words(reason, words_in("de", ",", "UTC"))
    assert german != text or code in ("at-place",)


@given(text=st.text(min_size=1, max_size=2 * LONGEST))
def test_any_other_text_is_as_it_was_said(text: str) -> None:
    """What a library said of a broken file; a text of a version without bounds is cut, as it was when shown."""
    reason = from_json(as_reason(text))

    assert str(reason) == (text if len(text) <= LONGEST else text[:LONGEST] + "…")
