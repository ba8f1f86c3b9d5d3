"""What people said and how deliveries ended: kept until a tick takes it, and then known at that tick."""

from __future__ import annotations

from dataclasses import astuple, dataclass

from sentinel.edges.store.database import Store, fetch
from sentinel.flow.model import Answer, Chore, Delivery, Tick
from sentinel.flow.reasons import from_json, to_json

Inputs = tuple[tuple[Answer, ...], tuple[Chore, ...], tuple[Delivery, ...]]
"""Answers, chores and ended deliveries, as a tick takes them."""


def put_answer(store: Store, answer: Answer) -> None:
    """Keep an answer until the next tick takes it."""
    with store.writing() as conn:
        conn.execute(
            "insert into answers (alert, at, person, finding, note, until, hand_to) values (?, ?, ?, ?, ?, ?, ?)",
            astuple(answer),
        )


def put_chore(store: Store, chore: Chore) -> None:
    """Keep a chore, or that one was not done, until the next tick takes it."""
    with store.writing() as conn:
        conn.execute(
            "insert into chores (chore, place, at, person, note, undoes) values (?, ?, ?, ?, ?, ?)", astuple(chore)
        )


def put_delivery(store: Store, delivery: Delivery) -> None:
    """Keep how a notice of another store ended, until the next tick takes it: for the past told again."""
    with store.writing() as conn:
        conn.execute(
            "insert or ignore into notices (id, at, person, kind, title, body, urgency, alerts) "
            "values (?, ?, '', '', '', '', 'log', '[]')",
            (int(delivery.notice), delivery.at),
        )
        conn.execute(
            "insert or replace into deliveries (notice, channel, at, outcome, detail, attempts) "
            "values (?, ?, ?, ?, ?, 1)",
            (delivery.notice, delivery.channel, delivery.at, delivery.outcome, to_json(delivery.detail)),
        )


def waiting_inputs(store: Store) -> Inputs:
    """What people said and how deliveries ended since the last tick, oldest first."""
    return inputs_known_at(store, None)


def inputs_known_at(store: Store, at: int | None) -> Inputs:
    """The same, of the tick at `at`, as they came; None for those that no tick has taken yet."""
    answers = fetch(
        store,
        "select alert, at, person, finding, note, until, hand_to from answers where known_at is ? order by id",
        (at,),
    )
    was = "coalesce((select was from put_back where tab = '{}' and key = {} and name = 'at'), at) as at"
    done_at, ended_at = (
        was.format("chores", "cast(id as text)"),
        was.format("deliveries", "notice || ' ' || channel"),
    )
    chores = fetch(
        store,
        f"select chore, place, {done_at}, person, note, undoes from chores where known_at is ? order by id",
        (at,),
    )
    ended = fetch(
        store,
        f"select notice, channel, {ended_at}, outcome, detail from deliveries where known_at is ? "
        "and outcome <> 'waiting' order by at, notice, channel",
        (at,),
    )
    return (
        tuple(Answer(*row) for row in answers),
        tuple(Chore(*row) for row in chores),
        tuple(Delivery(str(r[0]), r[1], r[2], r[3], from_json(r[4])) for r in ended),
    )


@dataclass(frozen=True, slots=True)
class TakenBack:
    """A chore's record that was taken back: by whose word, and what had been recorded."""

    by: Chore
    done_at: int
    done_by: str


def take_back_chores(store: Store, at: int) -> list[TakenBack]:
    """What waits as not done takes back, at the tick at `at`, what was recorded before it; what it took back, in order.

    A record is meant by its chore, its place and its moment, also as that was before the clock was put back. What is
    meant by none takes back nothing.
    """
    found = []
    with store.writing() as conn:
        words = conn.execute(
            "select id, chore, place, at, person, note, undoes from chores "
            "where known_at is null and undoes is not null order by id"
        ).fetchall()
        for number, *word in words:
            chore = Chore(*word)
            records = conn.execute(
                "select id, at, person from chores where chore = ? and place = ? and id < ? "
                "and (at = ? or exists (select 1 from put_back where tab = 'chores' and name = 'at' "
                "and key = cast(chores.id as text) and was = ?)) "
                "and undoes is null and undone_at is null order by id",
                (chore.chore, chore.place, number, chore.undoes, chore.undoes),
            ).fetchall()
            conn.executemany("update chores set undone_at = ? where id = ?", [(at, record["id"]) for record in records])
            found += [TakenBack(chore, record["at"], record["person"]) for record in records]
    return found


def last_done(store: Store, chore: str, place: str) -> int | None:
    """When a person last recorded a chore as done that was not taken back since; None if nobody did."""
    back = (
        "select 1 from chores later where later.undoes = chores.at and later.id > chores.id "
        "and later.chore = chores.chore and later.place = chores.place and later.known_at is null"
    )
    rows = fetch(
        store,
        "select max(at) from chores where chore = ? and place = ? and undoes is null and undone_at is null "
        f"and not exists ({back})",
        (chore, place),
    )
    return None if rows[0][0] is None else int(rows[0][0])


def mark_inputs_known(store: Store, tick: Tick) -> None:
    """What waited of the kinds that a tick carries is known from that tick on."""
    with store.writing() as conn:
        if tick.answers:
            conn.execute("update answers set known_at = ? where known_at is null", (tick.at,))
        if tick.chores:
            conn.execute("update chores set known_at = ? where known_at is null", (tick.at,))
        if tick.deliveries:
            ended = "known_at is null and outcome <> 'waiting'"
            conn.execute(f"update deliveries set known_at = ? where {ended}", (tick.at,))
