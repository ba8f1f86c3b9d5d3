"""The cows of a milk recording as pages show them."""

from __future__ import annotations

from dataclasses import replace

from text_tables import moment, table

from sentinel.flow.model import Alert
from sentinel.flow.tables import Tables
from sentinel.flow.views.parts.listed_cows import listed_cows, on_lists

AT = moment("3d12:00")


def listed(cow: str, state: str, share_pct: float | None = None) -> dict[str, object]:
    """One cow of a list."""
    figures = {"cells_k_ml": 400.0, "previous": None, "score": 5.0, "milk_kg": None, "tested_at": moment("06:00")}
    return {"cow": cow, "state": state, "share_pct": share_pct, **figures, "said": f"Cow {cow}: 400 k/ml ({state})"}


ALERT = Alert(
    *(7, "cow-cells", "recording:2024-06-03", moment("3d09:00"), moment("06:00"), "round", "Cell counts"),
    facts={
        "listed": [
            *(listed("7", "new", 3.0), listed("9", "new", 21.0), listed("8", "still", 11.5), listed("5", "first")),
            *(listed("10", "low", 12.0),),
        ]
    },
)


def test_groups_and_who_brings_most() -> None:
    """Each group as the alert has it, one without a cow left out; the heaviest are taken from all."""
    found = listed_cows(ALERT, Tables(), AT)

    assert found is not None
    assert [(state, [cow.cow for cow in cows]) for state, cows in found.groups] == [
        *(("new", ["7", "9"]), ("first", ["5"]), ("still", ["8"])),
    ]
    assert [(cow.cow, cow.share_pct) for cow in found.heaviest] == [("9", 21.0), ("10", 12.0), ("8", 11.5)]


def test_a_cow_that_was_dried_off_since_says_so() -> None:
    """The list is of the recording; what has become of her is the herd list's, as it is now."""
    head = "cow  from  group  lactation  calved_on  milkings_allowed  status\n"
    cows = table(
        "cows", f"{head}7  2d00:00  a  1  -  0  dry\n9  00:00  a  1  -  3  milking\n8  4d00:00  a  1  -  0  dry"
    )
    found = listed_cows(ALERT, Tables(cows=cows), AT)

    assert found is not None
    assert {cow.cow: cow.status for _, group in found.groups for cow in group} == {
        "7": "dry",
        "9": "",
        "8": "",
        "5": "",
    }


def test_an_alert_without_a_list() -> None:
    """Most have none."""
    assert listed_cows(replace(ALERT, facts={}), Tables(), AT) is None


def test_the_lists_that_a_cow_is_on() -> None:
    """While it stands, and if she is over the limit."""
    assert [(one.alert, one.words) for one in on_lists("cow:8", [ALERT])] == [(7, "Cow 8: 400 k/ml (still)")]
    assert on_lists("cow:10", [ALERT]) == on_lists("cow:8", [replace(ALERT, over_at=AT)]) == ()
