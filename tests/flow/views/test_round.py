"""The round's page."""

from __future__ import annotations

from text_tables import moment, moment_text
from view_farm import AT, alert, rows, snapshot

from sentinel.flow.views.round import round_page


def test_the_round_shows_the_list_of_the_nearest_round() -> None:
    """With what stands, what is due, and until when each feed is known."""
    page = round_page(snapshot([alert(3, "cow:7")], tables=rows()))

    assert page.list.round is not None
    assert page.list.round.begins == moment("1d16:30")
    assert [(part.part, [item.key for item in part.items]) for part in page.list.parts if part.part == "yard"] == [
        ("yard", ["alert:3"])
    ]
    assert [(line.feed, line.known_until) for line in page.list.known] == [("box_log", AT), ("visits", AT)]


LOG = """
box  at       event
1    1d04:00  filter_changed
2    1d04:00  filter_changed
1    07:00    arm_calibrated
2    07:00    arm_calibrated
"""


def test_what_is_done_at_a_box_stands_on_its_card_box_by_box() -> None:
    """Chores and alerts of the box, also a chore that cannot wait; any other that cannot wait stands before all."""
    found = [
        alert(1, "box:2", "now", rule="filter-overdue"),
        alert(2, "box:1", "now"),
        alert(3, "box:2"),
        alert(4, "tank:1"),
        alert(5, "cow:7"),
    ]
    page = round_page(snapshot(found, tables=rows(since="00:00", box_log=LOG)))
    walk = [
        (stretch.part, card.box, [item.key for item in card.items]) for stretch in page.walk for card in stretch.cards
    ]

    assert walk == [
        ("pressing", "", ["alert:2"]),
        ("boxes", "1", ["chore:filter/1", "chore:arm/1"]),
        ("boxes", "2", ["alert:1", "alert:3", "chore:arm/2"]),
        ("boxes", "", ["alert:4"]),
        ("yard", "", ["alert:5"]),
        ("field", "", ["chore:wire/east", "chore:wire/west"]),
    ]
    assert page.box_work == "pressing"
    cards = {card.box: card for stretch in page.walk for card in stretch.cards if card.box}
    assert [item.key for item in cards["2"].to_tick] == ["alert:1", "chore:arm/2"]
    assert sum(len(keys) for _, _, keys in walk) == page.list.waiting


def test_a_chore_done_is_no_more_to_be_ticked_and_can_be_taken_back_where_a_person_said_so() -> None:
    """Not where the box's own log says it."""
    said = "chore  place  at  person\narm  1  1d11:50  Marit"
    log = LOG + "2    1d11:45  arm_calibrated\n"
    page = round_page(snapshot(tables=rows(since="00:00", box_log=log, chores=said)))
    items = {item.key: item for stretch in page.walk for card in stretch.cards for item in card.items}

    assert (items["chore:arm/1"].state, items["chore:arm/1"].record_at) == ("done", moment("1d11:50"))
    assert (items["chore:arm/2"].state, items["chore:arm/2"].record_at) == ("done", None)
    assert items["chore:filter/1"].record_at is None
    assert page.list.chores_take_s is None  # nothing is known of how long they take


VISITS = "cow  start  box  outcome  milk_kg\n" + "".join(
    f"{cow}  {moment_text(moment(last) - n * 8 * 3600)}  1  milked  {kg}\n"
    for cow, last, kg in (("7", "20:00", 8), ("8", "18:00", 4), ("9", "22:00", 12))
    for n in range(7, -1, -1)
)


def test_cows_to_bring_are_in_order_of_the_milk_that_waits() -> None:
    """Each with what else there is of her; an answered one and others keep their places."""
    found = [
        alert(1, "cow:7"),
        alert(2, "cow:8"),
        alert(3, "cow:9"),
        alert(4, "quarter:8/LF", rule="x"),
        alert(5, "cow:10"),
        alert(6, "quarter:30/LF", rule="x", since="1d11:00"),
    ]
    page = round_page(snapshot(found, tables=rows(visits=VISITS)))
    [yard] = [stretch for stretch in page.walk if stretch.part == "yard"]
    items = yard.cards[0].items

    assert [item.subject for item in items] == [
        "cow:9", "cow:7", "cow:8", "quarter:8/LF", "cow:10", "quarter:30/LF",
    ]  # fmt: skip
    milk = [item.milk for item in items if item.milk is not None]
    assert [None if one.kg is None else round(one.kg) for one in milk] == [21, 16, 9, None]
    assert [one.hours for one in milk] == [14, 16, 18, None]
