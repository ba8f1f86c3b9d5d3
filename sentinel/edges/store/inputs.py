"""What people said and how deliveries ended: kept until a tick takes it, and then known at that tick."""

from __future__ import annotations

from dataclasses import astuple

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
    """Keep a chore until the next tick takes it."""
    with store.writing() as conn:
        conn.execute("insert into chores (chore, place, at, person, note) values (?, ?, ?, ?, ?)", astuple(chore))


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
        store, f"select chore, place, {done_at}, person, note from chores where known_at is ? order by id", (at,)
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
