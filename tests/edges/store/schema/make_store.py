"""Makes the store of a lived day, as the schema of now writes it, for test_upgrade: `store_v11.sql` of schema 11.

    PYTHONPATH=tests:. python tests/edges/store/schema/make_store.py

Once a version has been released, its store is kept as it is and never made anew: it is what a farm has that has not
been updated since. The script is that of the schema of now: an older schema's is found beside it in the history.
"""

from __future__ import annotations

import sys
from pathlib import Path

from text_tables import moment
from whole.whole_farm import BOX_FAILURES, BOX_LOG_FEED, FEED, FEED_QUIET, HERD_FEED, LATE_COW, Life, batch, setup_of

import sentinel
from sentinel.edges.store import Store
from sentinel.edges.store.alerts import unanswered_alerts
from sentinel.edges.store.history import last_tick
from sentinel.edges.store.inputs import waiting_inputs
from sentinel.edges.store.outbox import deliveries_due, delivery_tried
from sentinel.edges.store.schema.migrations import migrations
from sentinel.flow.again_and_pages import Reread
from sentinel.flow.model import Answer, Batch, Chore, Rows, SetAside, Tick, TickKind
from sentinel.flow.reasons import Reason

HERE = Path(__file__).parent
PEOPLE = "- person: Marit\n  channels: [marit-phone]\n"
TANK_FEED = """
feed: tank
files: "tank_*.csv"
form: delimited
tables:
  tank: {tank: Tank, at: At, temperature_C: Temp, litres: Litres}
"""


def lived(store: Store) -> Life:
    """A day with all a store keeps: rows, corrected and set aside, alerts, answers, chores done and not, notices,
    and a row taken back."""
    setup = setup_of(LATE_COW + FEED_QUIET + BOX_FAILURES, (FEED, BOX_LOG_FEED, HERD_FEED, TANK_FEED), people=PEOPLE)
    life = Life(setup, store, begin="00:00")
    herd = "cow  from  group  milkings_allowed  status\n" + "\n".join(
        f"{cow}  00:00  one  3  {'dry' if cow == 9 else 'milking'}" for cow in range(1, 10)
    )
    life.at("00:10", batch(herd, "cows", feed="herd", file="herd_1.csv"))
    life.at(
        "00:20", batch("box  at  event\n1  00:15  washed\n2  00:16  washed", "box_log", feed="boxlog", file="b_1.csv")
    )
    life.at(
        "00:30", batch("tank  at  temperature_C  litres\n1  00:25  3.9  812.5", "tank", feed="tank", file="t_1.csv")
    )
    number = 0
    for hour in range(1, 24):
        number += 1
        rows = ["cow  start  box  outcome  milk_kg  lf_conductivity_mS_cm  modified"]
        for cow in range(1, 9):
            if (cow == 7 and hour > 3) or hour in (12, 13, 14):
                continue  # she stays away; and no export for three hours
            failed = cow % 2 == 0 and hour in (8, 9)
            ended, kg = ("failed", "-") if failed else ("milked", "9.5")
            rows.append(f"{cow}  {hour - 1:02}:{cow * 5:02}  {cow % 2 + 1}  {ended}  {kg}  5.{cow}  {hour:02}:00")
        if hour == 10:
            rows.append("2  08:10  1  milked  8.5  5.2  10:00")  # what had failed is put right
        aside = (SetAside(99, "x;y", Reason("not-a-time", what="x")),) if hour == 6 else ()
        if len(rows) > 1:
            life.at(f"{hour:02}:00", batch("\n".join(rows), file=f"milkings_{number}.csv", set_aside=aside))
        if hour == 9:
            answer_what_stands(life)
    gone = Rows("visits", ("cow", "start", "deleted"), (("8", moment("04:40"), True),), (0,))
    reread = Reread("feeds/milkings.yaml was changed", files={"milkings_5.csv": True})
    life.at("23:05", Batch(setup.feeds[0].feed, "", (gone,), reread=reread))
    noted = moment("23:10")
    life.at("23:15", chores=(Chore("filter", "1", noted, "Marit", "torn"),))
    life.at("23:16", chores=(Chore("filter", "2", noted, "Marit"),))
    life.at("23:17", chores=(Chore("filter", "2", noted + 60, "Marit", undoes=noted),))
    life._step(Tick(moment("23:20"), TickKind.STOP, (), *waiting_inputs(store)))
    return life


def answer_what_stands(life: Life) -> None:
    """Marit's phone has the notices that waited, and she has looked at what stands."""
    at = last_tick(life.store) or 0
    for line in deliveries_due(life.store, at):
        delivery_tried(life.store, line.notice, line.channel, at + 30, "delivered", Reason("taken"), None, ())
    standing = unanswered_alerts(life.store)
    life.at(at + 60, answers=tuple(Answer(alert.id, at + 50, "Marit", "seen") for alert in standing))


def main() -> None:
    """Write the store of this schema beside the others."""
    store = Store(None)
    lived(store)
    store.verify()
    number = len(migrations._migrations)
    said = f"-- The store of a lived day as sentinel {sentinel.__version__} wrote it; schema {number}.\n"
    path = HERE / "released" / f"store_v{number}.sql"
    path.write_text(said + "\n".join(store.conn.iterdump()) + "\n", encoding="utf-8")
    sys.stdout.write(f"{path.name}: {path.stat().st_size} bytes\n")


if __name__ == "__main__":
    main()
