"""Boxes that stand in exports or maps and not in farm.yaml are asked about, with what it would then say."""

from __future__ import annotations

from flow.feeds.trial.tried_maps import export, line, map_text, tried_on

from sentinel.flow.feeds.trial.farm_boxes import boxes_in, boxes_not_named, strange_box
from sentinel.flow.feeds.trial.tried import draft_map
from sentinel.flow.yaml.text import read_yaml


def asked(farm: str, *boxes: str) -> list[str]:
    """What is asked of visits at these boxes."""
    of = tried_on(map_text(), export(*(line(n, Box=box) for n, box in enumerate(boxes))))
    return [str(one) for one in boxes_not_named(read_yaml(farm, "farm.yaml")[0], [of.map], [of])]


def test_boxes_that_the_farm_names_are_no_question() -> None:
    """Whether they are met or not, written as numbers or as text."""
    assert asked("boxes: [1, '2', 3]", "1", "2") == []


def test_one_that_is_not_named_is_asked_about_with_the_others() -> None:
    """With the file and line in which it stands first."""
    assert asked("name: A\nboxes: [1, 2]", "1", "3", "2", "3", "10") == [
        "farm.yaml:2:1: boxes: box 3 stands in visits_1.csv:3 and not among the farm's boxes; so does 10: if it is "
        "one, write boxes: [1, 2, 3, 10], as the exports call them; until then nobody is told when it "
        "stands, and nothing is due there"
    ]


def test_where_none_of_the_farms_is_met_they_are_the_same_by_other_names() -> None:
    """Their names alone are to be written."""
    [told] = asked("boxes: [1, 2]", "MP02", "MP01")

    assert "box MP01 stands in visits_1.csv:3 and not among the farm's boxes (is it 1?); so does MP02" in told
    assert "write boxes: [MP01, MP02]" in told
    assert "write boxes: [1]" in asked("name: A", "1")[0]
    assert "write boxes: [1, 2, 3]" in asked("boxes: [1, 2]", "3")[0]


def test_a_box_that_only_a_map_names_counts() -> None:
    """Before its first export has come."""
    text = map_text().replace("box: Box", 'box: {value: "4"}')
    of_map, _ = draft_map(text, "feeds/visits.yaml")
    assert of_map is not None

    [told] = boxes_not_named(read_yaml("boxes: [1]", "farm.yaml")[0], [of_map], [])
    assert "box 4 stands in feeds/visits.yaml:8:5" in told.message


def test_the_boxes_of_a_file() -> None:
    """Each with its first line; an empty cell names none."""
    [batch] = tried_on(map_text(), export(line(0), line(1, Box=""), line(2), line(3))).batches

    assert boxes_in(batch) == {"1": 2, "2": 5}
    assert strange_box("9", "a.csv:3", ["1"]) == "box 9 stands in a.csv:3 and not among the farm's boxes"
