"""Another bound, tried and written from the page."""

from __future__ import annotations

from page_farm import AT, InMemory, as_person, token_in

TUNE = "/rules/box-failures/tune"


def test_it_is_tried_shown_and_written_with_who_and_why() -> None:
    """The difference first, then the reason; the log has both."""
    farm = InMemory()
    marit = as_person(farm)
    tried, asked = marit.get(f"{TUNE}?n=5"), marit.get(f"{TUNE}?n=5&write=yes")
    token = token_in(asked.text)
    fields = {"token": token, "n": "5", "why": "too many"}

    assert "7 failures" in tried.text
    assert "What is written" not in tried.text
    assert "+  raise_over: 7 failures" in asked.text
    assert marit.post(TUNE, data={**fields, "why": ""}).status_code == 200
    assert farm.entries == []
    written = marit.post(TUNE, data=fields)
    assert "Written: raise_over 5 failures → 7 failures." in written.text
    [entry] = farm.entries
    assert (entry.person, entry.body["why"]) == ("Marit", "too many")
    assert "nothing to undo" in marit.post(TUNE, data={"token": token, "undo": "yes"}).text


def test_only_who_may_can_write() -> None:
    """Another person sees what a bound would do, and no way to write it; a form of theirs is refused."""
    farm = InMemory(own={2: ("Onno", False, AT + 10**7)})
    onno = as_person(farm, "Onno", 2)
    shown = onno.get(f"{TUNE}?n=5&write=yes")

    assert (shown.status_code, "Write it" in shown.text, "What is written" in shown.text) == (200, False, False)
    token = token_in(onno.get("/alert/17").text)
    assert onno.post(TUNE, data={"token": token, "n": "5", "why": "x"}).status_code == 403
    assert onno.post(TUNE, data={"token": "x", "n": "5", "why": "x"}).status_code == 403
    assert farm.entries == []


def test_odd_values_are_refused() -> None:
    """A place that there is not, a rule that there is not."""
    marit = as_person(InMemory())
    token = token_in(marit.get("/alert/17").text)

    for place, status in (("99", 400), ("-1", 400), ("x", 400), ("", 400)):
        assert marit.post(TUNE, data={"token": token, "n": place, "why": "x"}).status_code == status
    assert marit.get(f"{TUNE}?n=²&n=99999").status_code == 200
    assert marit.get("/rules/nothing/tune").status_code == 404
