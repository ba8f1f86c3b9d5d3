"""The log says reasons in English; the page says those that the store knows in the farm's language."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sentinel.edges.locales import words_in
from sentinel.edges.store import Store
from sentinel.edges.store.exports.ingest import ingest
from sentinel.edges.store.log import log_entries
from sentinel.edges.store.log_reasons import with_reasons
from sentinel.edges.store.outbox import delivery_tried, put_notices
from sentinel.flow.model import Batch, Entry, Notice, SetAside
from sentinel.flow.reasons import Reason, as_said
from sentinel.flow.views.parts.records import what_words

GERMAN = words_in("de", ",", "UTC")
WHY = Reason("at-place", place='"Kg"', why=Reason("not-a-number", what='"5,9x"'))
HANGS, ANSWERED = Reason("earlier-hangs"), Reason("service-answered", n=503)


def told(store: Store, kind: str) -> list[str]:
    """What the page says in German of the log's entries of a kind."""
    log = with_reasons(store, log_entries(store, kind=kind))
    return [what_words(one.entry, GERMAN, one.reason) for one in log]


def read(store: Store, file: str, at: int, aside: Sequence[SetAside]) -> None:
    """A file of which some rows could not be read."""
    ingest(store, Batch("milkings", file, set_aside=tuple(aside)), at)


def test_why_rows_were_set_aside_is_said_in_german() -> None:
    """Of each reading of a file what was the reason then, also where the file has been read again since."""
    store = Store(None)
    read(store, "a.csv", 100, [SetAside(2, "", None), SetAside(3, "x", WHY)])
    read(store, "a.csv", 200, [SetAside(3, "x", Reason("quotes-senseless"))])
    read(store, "b.csv", 200, [SetAside(0, "", as_said("Oh no"))])

    assert told(store, "set-aside") == [
        'a.csv: 2 beiseitegelegt, Zeile 3: "Kg": "5,9x" ist keine Zahl',
        "a.csv: 1 beiseitegelegt, Zeile 3: seine Anführungszeichen ergeben keinen Sinn",
        "b.csv: 1 beiseitegelegt, Zeile 0: Oh no",
    ]
    assert log_entries(store, kind="set-aside")[0].entry.body["reason"] == str(WHY)
    assert all(one.reason is None for one in with_reasons(store, log_entries(store, kind="read")))


def test_why_a_notice_was_given_up_is_said_in_german() -> None:
    """By its channel; one that is in the outbox no more is said if its sentence has no places."""
    store = Store(None)
    put_notices(store, [Notice(1, "Marit", "alert", "", "", "now")], {"Marit": ("phone", "mail")})
    for channel, why in (("phone", ANSWERED), ("mail", HANGS), ("gone", Reason("over-never-told"))):
        body = {"notice": "1", "channel": channel, "attempts": 9, "detail": str(why)}
        delivery_tried(store, 1, channel, 100, "gave_up", why, None, [Entry(100, "gave-up", body=body)])

    assert told(store, "gave-up") == [
        "Nachricht 1 an phone, Versuch 9: der Dienst antwortete 503",
        "Nachricht 1 an mail, Versuch 9: nicht gesendet: eine frühere Nachricht hängt noch",
        "Nachricht 1 an gone, Versuch 9: nicht gesendet: Was vorbei ist, kam dort nie an",
    ]


def test_a_reason_that_says_something_else_than_the_log_is_not_shown() -> None:
    """What the chain covers counts: a store that was changed beside it cannot put other words into the log."""
    store = Store(None)
    read(store, "a.csv", 100, [SetAside(3, "x", WHY)])
    with store.writing() as conn:
        conn.execute('update set_aside set reason = \'{"code":"quotes-senseless"}\'')

    assert told(store, "set-aside") == ['a.csv: 1 beiseitegelegt, Zeile 3: "Kg": "5,9x" is not a number']
    [one] = with_reasons(store, log_entries(store, kind="set-aside"))
    assert replace(one, reason=WHY) != one
