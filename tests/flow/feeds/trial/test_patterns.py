"""Maps that no file fits, files that no map is for, and files that two maps are for."""

from __future__ import annotations

from itertools import pairwise

from flow.feeds.trial.tried_maps import map_text

from sentinel.flow.feeds.trial.patterns import Matched, read_twice, strangers, unmatched
from sentinel.flow.feeds.trial.tried import MapFile, draft_map


def maps(*names: str) -> list[MapFile]:
    """A map for each kind of file."""
    made = [draft_map(map_text(name), f"feeds/{n}.yaml")[0] for n, name in enumerate(names)]
    return [one for one in made if one is not None]


def matched(of: list[MapFile], *files: str) -> Matched:
    """These files, the later the newer."""
    found = Matched()
    for at, name in enumerate(files):
        found.add(of, name, at)
    return found


def test_the_newest_three_of_each_map_are_tried() -> None:
    """And all are counted."""
    of = maps("visits")
    found = matched(of, *(f"visits_{n}.csv" for n in range(9)))

    assert [name for _, name in found.newest[0]] == ["visits_8.csv", "visits_7.csv", "visits_6.csv"]
    assert (found.number[0], found.files) == (9, 9)


def test_some_older_files_are_spread_over_all_of_them() -> None:
    """A word that stands in few files is met in one of them."""
    of = maps("visits")
    few, many = (matched(of, *(f"visits_{n:03}.csv" for n in range(number))).older[0].some() for number in (5, 400))

    assert few == [f"visits_{n:03}.csv" for n in range(5)]
    steps = [int(name[7:10]) for name in many]
    assert 6 <= len(many) <= 8
    assert len({b - a for a, b in pairwise(steps)}) == 1
    assert steps[0] == 0 and steps[-1] > 300


def test_a_map_that_no_file_fits_is_told_with_what_there_is() -> None:
    """At the line of its pattern, with the file that may be meant; nothing while the inbox is empty."""
    of = maps("visits", "vists")
    found = matched(of, "visits_1.csv", "vists-1.csv")

    assert [str(one) for one in unmatched(of, found)] == [
        'feeds/1.yaml:2:1: no file in the inbox fits "vists_*.csv" (did you mean "vists-1.csv"?): is the pattern right?'
    ]
    assert [*unmatched(of, matched(of))] == []


def test_files_without_a_map_are_told_once_a_kind() -> None:
    """Named by the newest; those that need none are left out."""
    found = matched(maps("visits"), "herd_01.csv", "herd_02.csv", "herd_03.csv", "notes.txt", "ade_1.json")

    assert [str(one) for one in strangers(found, {"ade_#.json": True})] == [
        "herd_03.csv: no feed map is for this file, nor for 2 more named like it: `sentinel map` drafts one, if it is "
        "an export",
        "notes.txt: no feed map is for this file: `sentinel map` drafts one, if it is an export",
    ]


def test_many_kinds_of_files_are_told_as_one() -> None:
    """A folder of other people's papers is no hundred findings."""
    found = matched(maps("visits"), *(f"{'x' * n}.csv" for n in range(200)))

    assert len([*strangers(found, {})]) == 21
    assert found.files == 200


def test_two_maps_for_one_file_are_told_at_the_one_that_does_not_get_it() -> None:
    """Whether it reads other files or none."""
    of = maps("visits", "visits")
    assert [str(one) for one in unmatched(of, matched(of, "visits_1.csv"))] == [
        "feeds/1.yaml:2:1: visits_1.csv is read by visits, whose pattern fits it too: make one of the two patterns "
        "narrower"
    ]

    wide = maps("visits_a", "visits")
    [told] = read_twice(wide, matched(wide, "visits_a_1.csv", "visits_1.csv"))
    assert str(told).startswith("feeds/1.yaml:2:1: visits_a_1.csv fits this map and visits_a, which reads it")


def test_maps_that_divide_a_file_are_both_tried_on_it() -> None:
    """And the file is one file; a third one, that would take all its rows, is told."""
    texts = [
        map_text("visits").replace("    cow:", f"    only: {{column: Kind, is: {kind}}}\n    cow:") for kind in "MN"
    ]
    texts.append(map_text("visits"))
    made = [
        draft_map(text.replace("feed: visits", f"feed: v{n}"), f"feeds/{n}.yaml")[0] for n, text in enumerate(texts)
    ]
    of = [one for one in made if one is not None]
    found = matched(of, "visits_1.csv", "visits_2.csv")

    assert [[name for _, name in found.newest[place]] for place in (0, 1)] == [["visits_2.csv", "visits_1.csv"]] * 2
    assert (found.files, found.number[2]) == (2, 0)
    assert [str(one) for one in unmatched(of, found)] == [
        "feeds/2.yaml:2:1: visits_1.csv is read by v0, whose pattern fits it too: make one of the two patterns narrower"
    ]
