"""A person's name is replaced everywhere, and the chain, its seals and everything else stay as they were."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from text_tables import moment
from whole.whole_farm import BOX_FAILURES, FEED, LATE_COW, Life, batch, setup_of

from sentinel.edges.store import Store
from sentinel.edges.store.access import PageAccess
from sentinel.edges.store.alerts import all_alerts
from sentinel.edges.store.database import fetch
from sentinel.edges.store.log import last_entry, log_entries, names_replaced
from sentinel.edges.store.names import names_in, replace_name
from sentinel.errors import LogChainError
from sentinel.flow.model import Answer, Chore

PEOPLE = "- person: Jörg\n  channels: [phone]\n- person: Jörgen\n  channels: [phone]\n"


@pytest.fixture
def life(tmp_path: Path) -> Life:
    """A farm at which Jörg is told, answers, does a chore, and has a link; and Jörgen is somebody else."""
    lived = Life(setup_of(LATE_COW + BOX_FAILURES, (FEED,), people=PEOPLE), Store(tmp_path / "sentinel.db"))
    rows = "cow  start  box  outcome\n" + "\n".join(f"{n}  00:{n:02}  1  failed" for n in range(10, 14))
    lived.at("01:00", batch(rows))
    at = moment("01:05")
    lived.at(at, answers=(Answer(1, at, "Jörg", "seen to", "Jörg and Jörgen were there"),))
    lived.at(at + 60, chores=(Chore("filter", "1", at, "Jörgen", "for Jörg"),))
    PageAccess(lived.store).make("Jörg", False, at, at + 9999)
    return lived


def everything(store: Store) -> str:
    """Every text in the store."""
    names = [row["name"] for row in fetch(store, "select name from sqlite_master where type = 'table'")]
    return "\n".join(str([tuple(row) for row in fetch(store, f'select * from "{name}"')]) for name in names)


def test_the_name_is_gone_and_a_longer_one_stays(life: Life) -> None:
    """From the log, answers, chores, notices, links and settings, also where JSON writes it otherwise."""
    count = names_in(life.store, "Jörg")
    assert count > 2

    assert replace_name(life.store, "Jörg", "Helper 1", moment("02:00"), "Anna", "asked for") == count

    text = everything(life.store).replace("Jörgen", "").replace("J\\\\u00f6rgen", "")
    assert "Jörg" not in text and "J\\\\u00f6rg" not in text and "J\\u00f6rg" not in text
    assert names_in(life.store, "Jörg") == 0
    assert all_alerts(life.store)[0].answered_by == "Helper 1"
    assert "Helper 1 and Jörgen were there" in everything(life.store)
    [settings] = fetch(life.store, "select text from settings order by number desc limit 1")
    assert json.loads(settings["text"])["people.yaml"] == PEOPLE.replace("person: Jörg\n", "person: Helper 1\n")


def test_the_chain_and_its_hashes_stay_whole(life: Life) -> None:
    """The head of before is still in the log, under the same number; a store opened anew proves it all."""
    before = {one.seq: one.hash for one in log_entries(life.store)}
    replace_name(life.store, "Jörg", "Helper 1", moment("02:00"), "Anna", "")

    life.store.verify()
    after = {one.seq: one.hash for one in log_entries(life.store)}
    assert {seq: after[seq] for seq in before} == before
    last = last_entry(life.store)
    assert last is not None and (last.entry.kind, last.entry.person) == ("name-replaced", "Anna")
    assert life.store.path is not None
    Store(life.store.path).verify()


@pytest.mark.parametrize(
    "change",
    [
        "update log set body = replace(body, 'Helper 1', 'Helper 2') where seq = (select max(seq) from replaced)",
        "update log set at = at + 1 where seq = (select min(seq) from replaced)",
        "update replaced set digest = replace(digest, substr(digest, 1, 1), '_')",
        "delete from replaced where seq = (select min(seq) from replaced)",
        "update log set kind = 'stop' where seq = 1",
    ],
)
def test_a_change_made_after_it_is_found(life: Life, change: str) -> None:
    """In an entry in which the name was replaced, in the list of these, or before them."""
    replace_name(life.store, "Jörg", "Helper 1", moment("02:00"), "Anna", "")
    for (name,) in fetch(life.store, "select name from sqlite_master where type = 'trigger'"):
        life.store.conn.execute(f"drop trigger {name}")
    assert life.store.conn.execute(change).rowcount > 0

    with pytest.raises(LogChainError, match="entry"):
        life.store.verify()


def test_two_people_may_be_forgotten_one_after_the_other(life: Life) -> None:
    """An entry that names both is changed twice; the newer one vouches for it, and the older list still fits."""
    replace_name(life.store, "Jörg", "Helper 1", moment("02:00"), "Anna", "")
    replace_name(life.store, "Jörgen", "Helper 2", moment("02:01"), "Anna", "")

    life.store.verify()
    assert "Helper 1 and Helper 2 were there" in everything(life.store)
    assert len({by for by, _, _ in names_replaced(life.store)}) == 2


def test_the_log_is_guarded_again_afterwards(life: Life) -> None:
    """Nobody can change it in passing."""
    replace_name(life.store, "Jörg", "Helper 1", moment("02:00"), "Anna", "")

    with pytest.raises(Exception, match="append-only"):
        life.store.conn.execute("update log set at = 0")
