"""`alerts`: what stands, to people and to programs."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from cli.typed import sentinel
from icar.resources import IcarAttentionEventResource

from sentinel.edges.settings import STORE_NAME
from sentinel.edges.store import Store
from sentinel.edges.store.alerts import save_alerts, standing_alerts


def test_alerts_say_what_they_were_raised_with_where_it_differs(told: Path) -> None:
    """Beside the sentence, in words and for programs; of one that has eased also that."""
    store = Store(told / STORE_NAME)
    [alert] = [one for one in standing_alerts(store) if one.rule == "box-failures"]
    moved = {
        "raised_value": 7.0,
        "worst_value": 9.0,
        "course": "raised at 7 failures, now 6 failures",
        "eased": "7 failures",
    }
    save_alerts(store, [replace(alert, **moved)])
    store.close()
    said, [record] = sentinel("alerts", told), sentinel("alerts", told, "--json").records

    assert "raised at 7 failures, now 6 failures; was urgent, has eased" in said.words
    assert (record["raised_value"], record["worst_value"], record["eased"]) == (7.0, 9.0, True)


def test_alerts_are_shown_to_people(told: Path) -> None:
    """The table names the box; the feed's known-until is told; without alerts it says so."""
    said = sentinel("alerts", told)

    assert "Box 2: 6 failures" in said.words
    assert "Known until: milkings" in said.words


def test_alerts_about_animals_go_to_a_herd_program(told: Path) -> None:
    """As one collection of attention events by the standard's own model; what is about no animal is counted."""
    farm = (told / "farm.yaml").read_text() + "animal_scheme: org.example\n"
    (told / "farm.yaml").write_text(farm)
    store = Store(told / STORE_NAME)
    [box] = [one for one in standing_alerts(store) if one.rule == "box-failures"]
    save_alerts(store, [replace(box, id=box.id + 50, rule="late-cow", subject="cow:217", text="Cow 217 not milked")])
    store.close()
    said = sentinel("alerts", told, "--ade")
    [collection] = said.records
    [event] = [IcarAttentionEventResource.model_validate(one) for one in collection["member"]]

    assert (event.animal.id, event.animal.scheme, event.remark) == ("217", "org.example", "Cow 217 not milked")
    assert "1 left out (box): the standard has attention events about animals alone." in said.err
