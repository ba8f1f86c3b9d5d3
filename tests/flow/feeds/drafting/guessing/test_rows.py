"""What rows as a whole say: which time of day belongs to a day, and which table they are of."""

from __future__ import annotations

from sentinel.flow.feeds.drafting.draft import drafted
from sentinel.flow.model import Export


def export(name: str, text: str) -> Export:
    """A file."""
    return Export(name, text.encode(), 0)


VISITS = "Cow;D;Aaa;Bbb;Milk kg\n" + "".join(
    f"{7 + n * 5 % 23};{4 + n // 40}/5/2026;{n % 40 // 4 + 5:02d}:{n % 4 * 14:02d}:05;"
    f"{n % 40 // 4 + 5:02d}:{n % 4 * 14 + 6 + n % 5:02d}:15;{9 + n % 4}.{n % 10}\n"
    for n in range(120)
)


def test_of_two_times_of_day_the_one_that_the_other_follows_begins_the_row() -> None:
    """It is shown with its day, and a person is asked."""
    draft = drafted([export("v.csv", VISITS)], "UTC")
    question = next(one for one in draft.questions if one.key == "column:visits.start")

    assert "start: {columns: [D, Aaa]}   # QUESTION" in draft.text
    assert question.choices[0][0] == "D"
    assert 'with "Aaa" (05:00:05' in question.choices[0][1]


def herd(day: int) -> Export:
    """The herd as it stands on a day: each cow once."""
    rows = "".join(
        f"{11 + n * 7};{n % 5 + 1};{1 + n % 28}.{1 + n % 12:02d}.2026;{'M' if n % 6 else 'D'};{n % 4}\n"
        for n in range(60)
    )
    return export(f"list_2026-11-{day:02d}.csv", f"Nr;Lact;Calv;Stat;Perm\n{rows}")


def test_a_list_of_cows_is_one_however_many_files_are_looked_at() -> None:
    """A cow comes once a file; since when a row is true is asked with the stamp of the file's name."""
    draft = drafted([herd(day) for day in range(1, 13)], "UTC")

    assert draft.guesses is not None
    assert list(draft.guesses.tables) == ["cows"]
    assert "list_%Y-%m-%d" in next(one.text for one in draft.questions if one.key == "complete_until")
    answered = drafted([herd(day) for day in range(1, 13)], "UTC", {"complete_until": "yes"}).text
    assert "FILL IN complete_until" not in answered
    assert 'complete_until: {from: file_name, pattern: "list_%Y-%m-%d"}' in answered
