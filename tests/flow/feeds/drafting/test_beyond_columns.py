"""What no column holds is drafted where samples show it: a stay by its end, an outcome by flags, a box by names."""

from __future__ import annotations

from collections.abc import Mapping

from flow.feeds.mapped import LATE, cells

from sentinel.flow.feeds import load_feed_map, read_export
from sentinel.flow.feeds.drafting.draft import drafted
from sentinel.flow.feeds.drafting.questions import Drafted
from sentinel.flow.model import Batch, Export

TITLES = "Cow;Came in;Went out;Milk kg;Refused;Failed;Inc"
N = 40


def clock(s: int) -> str:
    """A time of day."""
    return f"{s // 3600:02}:{s // 60 % 60:02}:{s % 60:02}"


def line(n: int, box: int, **flags: str) -> str:
    """The n-th visit to a box: one of sixty cows, some ten minutes after the one before, and how long she stayed."""
    begin = n * 700 + 37 * (n % 7) + 90 * box
    usual = {"Refused": "x" if n % 11 == 3 else "", "Failed": "0", "Inc": str(int(n % 9 == 4))} | flags
    milk = "" if usual["Refused"] else f"{6 + n % 9}.{n % 10}"
    at = f"{100 + (n * 17 + box * 5) % 60};13.05.2026 {clock(begin)};{clock(begin + stay(n))};{milk}"
    return f"{at};{usual['Refused']};{usual['Failed']};{usual['Inc']}"


def stay(n: int) -> int:
    """How long the n-th visit lasted, in s."""
    return 300 + 53 * (n % 8)


def samples(titles: str = TITLES, **flags: str) -> list[Export]:
    """A day's file of each of two boxes, in their folders."""
    files = [(f"box{box}/visits_20260513.csv", [line(n, box, **flags) for n in range(N)]) for box in (1, 2)]
    return [Export(name, "\n".join([titles, *lines, ""]).encode(), LATE) for name, lines in files]


def read(draft: Drafted, export: Export) -> Batch:
    """What a draft, which must be a good map, gives of a file."""
    feed, problems = load_feed_map(draft.text, "draft.yaml")
    assert problems == [], f"{problems}\n{draft.text}"
    assert feed is not None
    return read_export(feed, export, "UTC")


def asked(draft: Drafted) -> Mapping[str, tuple[str, ...]]:
    """The questions that are about what no column holds, with their answers."""
    return {
        one.key: tuple(answer for answer, _ in one.choices)
        for one in draft.questions
        if one.key.partition(":")[0] in ("flag", "flags", "name")
    }


def test_a_stay_an_outcome_and_a_box_that_no_column_holds_are_drafted_and_read() -> None:
    """From the bytes to the rows; the box is asked, as a name may mean anything."""
    first, second = samples()
    draft = drafted([first, second], "UTC")
    batch = read(draft, second)

    assert "    duration_s: {end: Went out}   # 97 %" in draft.text
    assert cells(batch, "duration_s") == [float(stay(n)) for n in range(N)]
    assert cells(batch, "box") == ["2"] * N
    assert cells(batch, "outcome") == [
        "refused" if n % 11 == 3 else "incomplete" if n % 9 == 4 else None for n in range(N)
    ]
    assert batch.set_aside == ()
    assert asked(draft)["name:box"] == ("yes", "-")
    assert 'box: {file_name: "box{box}/*"}   # QUESTION: are these its names: 1, 2?' in draft.text


def test_flags_that_are_set_together_are_asked_for_their_order() -> None:
    """And go by what was answered."""
    exports = samples(Inc="1", Refused="1")
    draft = drafted(exports, "UTC")
    assert asked(draft)["flags"] == ("refused,failed,incomplete", "incomplete,failed,refused")
    assert set(cells(read(draft, exports[0]), "outcome")) == {"refused"}
    answered = drafted(exports, "UTC", {"flags": "incomplete,failed,refused"})

    assert "flags" not in asked(answered)
    assert set(cells(read(answered, exports[0]), "outcome")) == {"incomplete"}


def test_a_flag_that_may_mean_two_things_is_asked() -> None:
    """Not milked: refused, or no cups; or nothing of how a visit ended."""
    exports = samples(TITLES.replace("Failed", "Not milked"), Failed="1", Refused="0", Inc="0")
    draft = drafted(exports, "UTC")
    assert "refused" in asked(draft)["flag:Not milked"]
    assert "failed: Not milked   # QUESTION: is it? 60 %" in draft.text
    refused = drafted(exports, "UTC", {"flag:Not milked": "refused"})
    nothing = drafted(exports, "UTC", {"flag:Not milked": "-"})

    assert "refused: [Refused, Not milked]" in refused.text
    assert set(cells(read(refused, exports[0]), "outcome")) == {"refused"}
    assert "        failed:" not in nothing.text
    assert cells(read(nothing, exports[0]), "outcome") == [None] * N


def test_a_mark_in_words_of_its_own_is_written_with_its_word() -> None:
    """A K, or nothing; no other word is known to be a no."""
    exports = samples(Inc="", Refused="", Failed="")
    marked = [Export(one.name, one.content.replace(b";;;\n", b";;;K\n", 12), LATE) for one in exports]
    draft = drafted(marked, "UTC")

    assert "incomplete: {column: Inc, words: {K: yes}}   # QUESTION: is it? 80 %" in draft.text
    assert cells(read(draft, marked[0]), "outcome").count("incomplete") == 12


def test_flags_stand_beside_a_column_of_words_only_where_they_say_more() -> None:
    """And are asked then: a cup that was kicked off may be no milking that was cut short."""
    titles = TITLES.replace("Refused;Failed;Inc", "Result;Kicked;Inc")

    def files(kicked: str) -> list[Export]:
        return samples(titles, Refused="done", Failed=kicked, Inc="0")

    redundant, telling = drafted(files("0"), "UTC"), drafted(files("1"), "UTC")
    assert "flags:" not in redundant.text
    assert "        incomplete: [Kicked, Inc]   # QUESTION: is it? 95 %; QUESTION: is it? 95 %" in telling.text
    assert set(cells(read(telling, files("1")[0]), "outcome")) == {"incomplete"}
    left_alone = drafted(files("1"), "UTC", {"flag:Kicked": "-", "flag:Inc": "-"})
    assert set(cells(read(left_alone, files("1")[0]), "outcome")) == {"milked"}


def test_a_column_that_says_it_goes_before_a_name() -> None:
    """As before."""
    exports = [
        Export(f"box{n}/milkings_{n}.csv", one.content.replace(b"Inc", b"Box"), LATE)
        for n, one in enumerate(samples(Inc="7"))
    ]
    draft = drafted(exports, "UTC")

    assert "file_name" not in draft.text


def test_what_was_answered_of_a_name_is_written() -> None:
    """Yes, or that it means something else."""
    exports = samples()

    assert 'box: {file_name: "box{box}/*"}   # as answered' in drafted(exports, "UTC", {"name:box": "yes"}).text
    assert "    # box: ...   # not found: which box" in drafted(exports, "UTC", {"name:box": "-"}).text


def test_a_file_of_two_kinds_of_rows_is_drafted_as_two_maps_that_share_it() -> None:
    """One for each answer; together they read every row once."""
    what = ("filter changed", "washed")
    events = [f"E;{1 + n % 2};13.05.2026 {clock(n * 3000)};;;{what[n % 2]}" for n in range(12)]
    visits = [f"M;{100 + n * 17 % 60};13.05.2026 {clock(n * 700)};{6 + n % 9}.{n % 10};{stay(n)};" for n in range(N)]
    titles = "Kind;No;Time;Milk kg;Stay s;Event"
    export = Export("day_20260513.csv", "\n".join([titles, *visits, *events, ""]).encode(), LATE)
    first = drafted([export], "UTC", {"table": "visits"})
    second = drafted([export], "UTC", {"rows": first.rows[1], "table": "box_log"})

    assert first.rows == ("M", "E")
    assert next(one for one in first.questions if one.key == "rows").choices[0][0] == "M"
    assert "only: {column: Kind, is: [M]}   # QUESTION: which rows? rows of E look like another table" in first.text
    visits_read, log_read = read(first, export), read(second, export)
    assert (visits_read.feed, log_read.feed) == ("day", "day_box_log")
    assert (len(cells(visits_read, "milk_kg")), len(cells(log_read, "event"))) == (N, 12)
    assert set(cells(log_read, "event")) == {"filter_changed", "washed"}
    assert "only:" not in drafted([export], "UTC", {"rows": "-"}).text


def test_the_states_of_cows_are_no_kinds_of_rows() -> None:
    """Though cows in milk and dry ones fill columns of their own in a herd list."""
    cows = [
        f"{100 + n};{'dry' if n % 4 == 3 else 'milking'};{1 + n % 5};{'' if n % 4 == 3 else 30 + n % 9};"
        f"{f'{1 + n % 28:02}.04.2026' if n % 4 == 3 else ''}"
        for n in range(60)
    ]
    export = Export("herd.csv", "\n".join(["Cow;Status;Lactation;Day milk;Dried off", *cows, ""]).encode(), LATE)

    assert drafted([export], "UTC").rows == ()
