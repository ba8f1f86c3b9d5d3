"""The clock put ahead and back: nothing is silenced or told twice, and the past is told again to the second."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st
from text_tables import DAY_0, moment
from whole.farm_rows import batch_of_row, chores, farm_of_all_shapes, quick, visits
from whole.lives import shifted
from whole.whole_farm import BOX_FAILURES, FEED_QUIET, LATE_COW, Life, batch, setup_of

from sentinel.edges.clock import Clock
from sentinel.edges.settings import Secrets
from sentinel.edges.store.access import PageAccess
from sentinel.edges.store.alerts import alert_with, alerts_of_rule, all_alerts
from sentinel.edges.store.database import fetch
from sentinel.edges.store.exports.feeds import feed_state, forget_later, put_seen, rows_set_aside
from sentinel.edges.store.history import last_known, last_tick, unused_from
from sentinel.edges.store.inputs import inputs_known_at, waiting_inputs
from sentinel.edges.store.outbox import all_notices
from sentinel.flow.model import DAY_S, HOUR_S, Answer, Batch, Chore, Notice, Tick, TickKind
from sentinel.runtime.engine import Stepped
from sentinel.runtime.farm_folder import Farmyard
from sentinel.runtime.farm_reader import FarmReader
from sentinel.runtime.service import Service

YEAR_S = 365 * DAY_S


class Stopped(Clock):
    """A clock that stands."""

    def __init__(self, at: int) -> None:
        self.at = at

    def _now(self) -> float:
        return float(self.at)


PEOPLE = "- person: Anna\n  channels: [phone]\n  at_most: 6 per hour\n  worklist: yes\n"
FARM = "name: Tinfield\nzone: UTC\nboxes: ['1', '2']\nrounds: ['06:30', '16:30']\n"
RULES = BOX_FAILURES.replace("  say:", "  remind_every: 1 h\n  remind_most: 3 times\n  say:") + FEED_QUIET + LATE_COW


def farm() -> Life:
    """A farm with one person, from midnight on."""
    return Life(setup_of(RULES, farm=FARM, people=PEOPLE))


def jump(life: Life, when: str | int, by_s: int) -> Stepped:
    """The clock is put ahead or back so far, and then shows `when`; the tick that follows it."""
    at = unused_from(life.store, moment(when) if isinstance(when, str) else when)
    return life._step(Tick(at, TickKind.RUN, (), *waiting_inputs(life.store), by_s))


def failures(box: str, *times: str, file: str) -> Batch:
    """An export of failed attachments at a box, of a cow each."""
    rows = [f"{box}{n}  {time}  {box}  failed" for n, time in enumerate(times)]
    return batch("\n".join(["cow  start  box  outcome", *rows]), file=file)


def pushes(steps: list[Stepped]) -> list[Notice]:
    """What these ticks pushed to the phone."""
    return [notice for one in steps for notice in one.notices if notice.kind != "worklist"]


def of_box(notices: list[Notice], box: str) -> list[Notice]:
    """Those that tell of a box."""
    return [notice for notice in notices if f"Box {box}" in f"{notice.title} {notice.body}"]


def nothing_is_ahead(life: Life) -> None:
    """No moment that decisions compare with now is later than the last tick."""
    at = last_tick(life.store)
    for table, names in {
        "alerts": ("raised_at", "came_at", "over_at", "answered_at"),
        "notices": ("at",),
        "chores": ("at",),
    }.items():
        for name in names:
            assert fetch(life.store, f"select 1 from {table} where {name} > ?", (at,)) == [], (table, name)


def test_an_hour_put_back_silences_nothing() -> None:
    """A box's failures are told at once, in the hour that comes a second time, and reminded of an hour after that."""
    life = farm()
    life.at("07:05", failures("1", "07:00", "07:01", "07:02", file="milkings_1.csv"))
    jump(life, "06:10", -HOUR_S)  # the exports had run an hour ahead as well
    before = len(life.steps)
    life.at("06:12", failures("2", "06:09", "06:10", "06:11", file="milkings_2.csv"))
    told = of_box(pushes(life.steps[before:]), "2")
    life.at("07:15")

    assert [(notice.kind, notice.at - DAY_0) for notice in told] == [("alert", 6 * HOUR_S + 12 * 60)]
    reminded = [notice for notice in pushes(life.steps) if notice.kind == "reminder"]
    assert [notice.at - DAY_0 - 7 * HOUR_S for notice in reminded] == [10 * 60, 12 * 60]  # of box 1, as put back, and 2
    assert life.told_again == life.alerts
    life.store.verify()
    nothing_is_ahead(life)


def test_an_alert_told_before_the_clock_was_put_back_is_reminded_of_in_its_time() -> None:
    """It was told an hour ago by the clock, and in truth just now: the next time is an hour from now, not in two."""
    life = farm()
    life.at("05:30", failures("1", "05:20", "05:21", "05:22", file="milkings_1.csv"))
    jump(life, "10:30", 5 * HOUR_S)
    jump(life, "05:31", -5 * HOUR_S)
    before = len(life.steps)
    life.at("07:00")

    told = of_box(pushes(life.steps[before:]), "1")
    assert [(notice.kind, notice.at - DAY_0) for notice in told] == [("reminder", 6 * HOUR_S + 31 * 60)]
    nothing_is_ahead(life)


def test_after_a_year_ahead_for_a_minute_the_box_rings_at_once_and_nothing_floods() -> None:
    """What was pushed under the wrong clock takes nothing from the ceiling; quiet feeds told of in vain are over."""
    life = farm()
    life.at("05:30", failures("1", "05:20", "05:21", "05:22", file="milkings_1.csv"))
    before = len(life.steps)
    jump(life, moment("05:31") + YEAR_S, YEAR_S)
    life.at(moment("05:32") + YEAR_S, failures("2", "05:29", "05:30", "05:31", file="milkings_2.csv"))
    ahead = pushes(life.steps[before:])
    before = len(life.steps)
    jump(life, "05:32", -YEAR_S)
    back = pushes(life.steps[before:])
    life.at("06:20")

    assert len(of_box(ahead, "2")) == 0  # a year old, as the clock had it: no news
    assert [(notice.kind, notice.title) for notice in of_box(back, "2")] == [("alert", "Box 2: 3 failures of 3")]
    assert len(ahead) <= 6
    assert len(pushes(life.steps[before:])) <= 6
    worklists = [n.at - DAY_0 for one in life.steps[before:] for n in one.notices if n.kind == "worklist"]
    assert worklists == [6 * HOUR_S + 15 * 60]
    assert feed_state(life.store)["milkings"][1] == moment("05:31")
    assert life.told_again == life.alerts
    life.store.verify()
    nothing_is_ahead(life)


def test_a_feed_whose_stamp_was_taken_from_a_wrong_clock_does_not_look_fresh_for_a_year() -> None:
    """Its known-until is what its other files gave; two hours later the feed is quiet, and told of."""
    life = farm()
    life.at("05:00", batch("cow  start  box  outcome\n7  04:50  1  milked"))
    jump(life, moment("05:01") + YEAR_S, YEAR_S)
    life.at(moment("05:02") + YEAR_S, batch("", file="milkings_2.csv", until=None))
    stamped = Batch("milkings", "milkings_3.csv", (), (), moment("05:03") + YEAR_S)
    life.at(moment("05:03") + YEAR_S, stamped)
    jump(life, "05:04", -YEAR_S)
    life.at("07:00")

    assert feed_state(life.store)["milkings"][1] == moment("04:50")
    assert [a.subject for a in alerts_of_rule(life.store, "feed-quiet") if a.standing] == ["feed:milkings"]
    assert life.told_again == life.alerts


def test_a_clock_ten_years_behind_for_a_minute_changes_nothing_that_was_known() -> None:
    """Rows from today are set aside, and nothing rings; when it is right all is as before, and the file is read."""
    life = farm()
    life.at("05:30", failures("1", "05:20", "05:21", "05:22", file="milkings_1.csv"))
    put_seen(life.store, ("milkings_2.csv", 1, 1, 1, 1, ""))
    standing, sent, known = all_alerts(life.store), all_notices(life.store), feed_state(life.store)
    before = len(life.steps)
    behind = moment("05:40") - 10 * YEAR_S
    jump(life, behind, -10 * YEAR_S - 600)
    export = failures("2", "05:39", "05:40", "05:41", file="milkings_2.csv")
    life.at(behind + 30, export)
    aside = [row["begins"] for row in fetch(life.store, "select begins from set_aside order by id")]
    jump(life, "05:41", 10 * YEAR_S)
    names = forget_later(life.store, moment("05:41"))
    life.at("05:42", export)

    assert aside == [moment("05:39"), moment("05:40"), moment("05:41")]
    assert names == ["milkings_2.csv"]
    assert rows_set_aside(life.store) == []
    assert alert_with(life.store, 1).raised_at == standing[0].raised_at
    assert all_notices(life.store)[: len(sent)] == sent
    assert feed_state(life.store)["milkings"][1] == moment("05:41") > (known["milkings"][1] or 0)
    told = pushes(life.steps[before:])
    assert [notice.title for notice in told] == ["Box 2: 3 failures of 3"]
    assert life.told_again == life.alerts
    life.store.verify()


def test_a_watch_that_began_ten_years_behind_does_not_take_old_readings_for_news() -> None:
    """The first start of all had no battery: it is counted from when the clock was right."""
    life = Life(setup_of(RULES, farm=FARM, people=PEOPLE), begin=None)
    life.at(moment("05:00") - 10 * YEAR_S, kind=TickKind.START)
    jump(life, "05:01", 10 * YEAR_S)

    assert int(life.store.meta("watched_since") or 0) == moment("05:00")
    assert life.told_again == life.alerts


def test_an_answer_under_a_clock_ahead_does_not_outlive_the_ones_after_it() -> None:
    """Given five hours ahead it counts as given by now: a later one counts, and what was put off is so for its hour."""
    life = farm()
    life.at("05:30", failures("1", "05:20", "05:21", "05:22", file="milkings_1.csv"))
    jump(life, "10:30", 5 * HOUR_S)
    life.at("10:31", answers=(Answer(1, moment("10:31"), "Anna", "arm out of line"),))
    jump(life, "05:33", -5 * HOUR_S)
    life.at("05:40", answers=(Answer(1, moment("05:40"), "Anna", "optics dirty"),))
    answered = alert_with(life.store, 1)

    again = farm()
    again.at("05:30", failures("1", "05:20", "05:21", "05:22", file="milkings_1.csv"))
    jump(again, "10:30", 5 * HOUR_S)
    again.at("10:31", answers=(Answer(1, moment("10:31"), "Anna", until=moment("11:31")),))
    jump(again, "05:33", -5 * HOUR_S)

    assert (answered.finding, answered.answered_at) == ("optics dirty", moment("05:40"))
    assert alert_with(again.store, 1).lies_from == moment("06:33")
    assert life.told_again == life.alerts


def test_a_chore_dated_by_another_clock_counts_when_it_is_known() -> None:
    """The terminal's clock stood five hours ahead of the service's: it was done by the tick that took it."""
    life = farm()
    life.at("05:40", chores=(Chore("wire", "east", moment("10:30"), "Anna"),))

    assert [row["at"] for row in fetch(life.store, "select at from chores")] == [moment("05:40")]
    assert inputs_known_at(life.store, moment("05:40"))[1][0].at == moment("10:30")  # as it came, for the replay
    assert life.told_again == life.alerts


def test_a_second_that_had_its_tick_has_no_other() -> None:
    """When the clock comes by again, the next free second is taken, so that what was said at each can be told apart."""
    life = farm()
    life.at("07:00", failures("1", "06:50", "06:51", "06:52", file="milkings_1.csv"))
    jump(life, "06:00", -HOUR_S)

    assert unused_from(life.store, moment("07:00")) == moment("07:00") + 1
    assert unused_from(life.store, moment("06:00")) == moment("06:00") + 1


def test_somebody_shut_out_stays_out_whatever_the_clock_shows(tmp_path: Path) -> None:
    """A session begun while the clock stood ahead does not outlive the withdrawal; one begun after it opens."""
    (tmp_path / "farm.yaml").write_text(FARM)
    (tmp_path / "people.yaml").write_text(PEOPLE)
    setup = setup_of(RULES, farm=FARM, people=PEOPLE)
    life = Life(setup)
    clock = Stopped(moment("06:00") + YEAR_S)
    shown = FarmReader(Service(Farmyard(tmp_path, setup, Secrets({}), life.store), clock, {}), clock)
    PageAccess(life.store).shut_out("Anna", clock.at)
    begun_ahead = clock.at + 60
    clock.at = moment("06:02")
    jump(life, "06:02", -YEAR_S)

    assert shown.access("Anna", 0, begun_ahead) is None
    assert shown.access("Anna", 0, moment("06:01")) is None
    assert shown.access("Anna", 0, moment("06:03")) is not None


# --- anything that can happen ----------------------------------------------------------------------------

jumps = st.sampled_from((-10 * YEAR_S, -5 * HOUR_S, -HOUR_S, -60, 60, HOUR_S, 5 * HOUR_S, YEAR_S, 10 * YEAR_S))
happenings = st.one_of(
    st.tuples(st.just("rows"), st.lists(visits, min_size=1, max_size=4)),
    st.tuples(st.just("answer"), st.integers(1, 4)),
    st.tuples(st.just("chore"), chores),
    st.tuples(st.just("not done"), st.none()),
    st.tuples(st.just("jump"), jumps),
    st.tuples(st.just("restart"), st.none()),
)


@settings(quick, max_examples=20)
@given(st.lists(st.tuples(st.sampled_from((1, 60, 1800, 3 * 3600)), happenings), min_size=2, max_size=14))
def test_whatever_the_clock_does_the_past_is_told_again_to_the_second(
    script: list[tuple[int, tuple[str, object]]],
) -> None:
    """Rows, answers, chores and restarts under a clock that jumps about: the same alerts, a whole chain, none ahead."""
    life = Life(farm_of_all_shapes(), begin=None)
    life.at(DAY_0, kind=TickKind.START)
    truth = at = DAY_0
    recorded: tuple[Chore, ...] = ()
    for number, (gap, (what, more)) in enumerate(script):
        truth, at = truth + gap, max(at + gap, (last_known(life.store) or 0) + 1)
        if what == "jump":
            at += int(str(more))
            life.due = None
            jump(life, at, int(str(more)))
            at = last_tick(life.store) or at
            continue
        files, answers, done = [], (), ()
        if what == "rows" and isinstance(more, list):
            rows = [shifted(row, truth, 0, None) for row in more]
            files = [batch_of_row(row, f"{row['feed']}_{number}_{i}.csv") for i, row in enumerate(rows)]
        elif what == "answer":
            answers = (Answer(int(str(more)), at - 1, "Marit", "seen"),)
        elif what == "chore" and isinstance(more, dict):
            done = recorded = (Chore(more["chore"], more["place"], at - 30, "Marit"),)
        elif what == "not done":
            done = tuple(replace(one, undoes=one.at) for one in recorded)
        if what == "restart":
            life.restart()
        life.due = None if life.due is None else max(life.due, (last_known(life.store) or 0) + 1)
        life.at(unused_from(life.store, at), *files, kind=TickKind.START if what == "restart" else TickKind.RUN,
                answers=answers, chores=done)  # fmt: skip

    assert life.told_again == life.alerts
    life.store.verify()
    nothing_is_ahead(life)
