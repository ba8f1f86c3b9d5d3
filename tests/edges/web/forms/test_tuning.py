"""Another bound, tried and written from the page."""

from __future__ import annotations

import re

from page_farm import AT, RULES, InMemory, as_person, browser, notice_link, text_of, token_in

TUNE = "/rules/box-failures/tune"
PRESSING = RULES.replace(
    "raise_over: 5 failures\n  urgency: now", "raise_over: 5 failures\n  now_over: 6 failures\n  urgency: round"
)


def form_in(html: str) -> dict[str, str]:
    """What the form that writes would send, without why."""
    return dict(re.findall(r'type="hidden" name="([a-z.0-9]+)" value="([^"]*)"', html.split("What is written")[1]))


def test_it_is_tried_shown_and_written_with_who_and_why() -> None:
    """The difference first, then the reason; the log has both."""
    farm = InMemory()
    marit = as_person(farm)
    tried, asked = marit.get(f"{TUNE}?n=5"), marit.get(f"{TUNE}?n=5&write=yes")
    fields = {**form_in(asked.text), "why": "too many"}

    assert "7 failures" in tried.text
    assert "What is written" not in tried.text
    assert "+  raise_over: 7 failures" in asked.text
    assert (fields["key.0"], fields["value.0"], fields["before.0"]) == ("raise_over", "7 failures", "5 failures")
    assert marit.post(TUNE, data={**fields, "why": ""}).status_code == 200
    assert farm.entries == []
    answer = marit.post(TUNE, data=fields, follow_redirects=False)
    assert (answer.status_code, answer.headers["location"]) == (303, f"{TUNE}?written=1")
    shown = text_of(marit.get(answer.headers["location"]).text)
    assert "Written: raise_over 5 failures → 7 failures. It counts from the next look, in seconds." in shown
    assert farm.rules == RULES.replace("5 failures", "7 failures")
    [entry] = farm.entries
    assert (entry.person, entry.body["why"]) == ("Marit", "too many")


def test_the_same_form_writes_once_and_only_what_its_page_showed() -> None:
    """Sent again, or after somebody else's edit, it is refused, and says what the file has by now."""
    farm = InMemory()
    marit = as_person(farm)
    fields = {**form_in(marit.get(f"{TUNE}?n=5&write=yes").text), "why": "too many"}
    marit.post(TUNE, data=fields)
    again = marit.post(TUNE, data=fields)

    assert "raise_over is 7 failures by now, not 5 failures: it was changed meanwhile" in again.text
    farm.rules = RULES.replace("5 failures", "9 failures")
    assert "raise_over is 9 failures by now" in marit.post(TUNE, data=fields).text
    same = {**fields, "value.0": "9 failures", "before.0": "9 failures"}
    assert "the file says so already: raise_over 9 failures" in marit.post(TUNE, data=same).text
    assert len(farm.entries) == 1


def test_an_edit_is_put_back_once() -> None:
    """By its number; then it is not offered again, and the same form is refused."""
    farm = InMemory()
    marit = as_person(farm)
    token = token_in(marit.get("/alert/17").text)
    assert "nothing to undo" in marit.post(TUNE, data={"token": token, "undo": "1"}).text
    marit.post(TUNE, data={**form_in(marit.get(f"{TUNE}?n=5&write=yes").text), "why": "too many"})
    shown = marit.get(TUNE).text
    undo = {"token": token, "undo": "1"}

    assert 'name="undo" value="1"' in shown
    back = marit.post(TUNE, data=undo)
    assert "Written: raise_over 7 failures → 5 failures." in back.text
    assert farm.rules == RULES
    assert 'name="undo"' not in back.text
    for _ in range(2):
        assert "already put back" in marit.post(TUNE, data=undo).text
    assert [one.body.get("undoes") for one in farm.entries] == [None, 1]
    marit.post(TUNE, data={**form_in(marit.get(f"{TUNE}?n=5&write=yes").text), "why": "too many"})
    assert "changed again meanwhile" in marit.post(TUNE, data=undo).text
    assert marit.post(TUNE, data={"token": token, "undo": "x"}).status_code == 400


def test_what_moves_along_is_written_and_put_back_with_it() -> None:
    """The pressing bound, which would no longer fit; both stand in the difference and in the log."""
    farm = InMemory(rules=PRESSING)
    marit = as_person(farm)
    asked = marit.get(f"{TUNE}?n=6&write=yes").text
    marit.post(TUNE, data={**form_in(asked), "why": "too many"})
    after = farm.rules
    shown = marit.get(TUNE).text
    marit.post(TUNE, data={"token": token_in(shown), "undo": "1"})

    assert ("+  raise_over: 8 failures" in asked, "+  now_over: 10 failures" in asked) == (True, True)
    assert ("raise_over: 8 failures" in after, "now_over: 10 failures" in after) == (True, True)
    assert "raise_over 5 failures → 8 failures, now_over 6 failures → 10 failures" in text_of(shown)
    assert farm.rules == PRESSING


def test_an_example_that_no_longer_comes_out_has_to_be_accepted() -> None:
    """It is said beside the difference, and the form is refused without the tick."""
    farm = InMemory(failing=("it should raise",))
    marit = as_person(farm)
    asked = marit.get(f"{TUNE}?n=5&write=yes").text
    fields = {**form_in(asked), "why": "too many"}
    refused = marit.post(TUNE, data=fields).text

    assert "An example of the rule no longer comes out: it should raise" in asked
    assert "an example of box-failures would no longer come out: it should raise" in refused
    assert farm.entries == []
    assert marit.post(TUNE, data={**fields, "anyway": "yes"}, follow_redirects=False).status_code == 303


def test_only_who_may_can_write() -> None:
    """Another person sees what a bound would do, and no way to write it; a form of theirs is refused with why."""
    farm = InMemory(own={2: ("Onno", False, AT + 10**7)})
    onno = as_person(farm, "Onno", 2)
    shown = onno.get(f"{TUNE}?n=5&write=yes")
    fields = {"key.0": "raise_over", "value.0": "7 failures", "before.0": "5 failures", "why": "x"}

    assert (shown.status_code, "Write it" in shown.text, "What is written" in shown.text) == (200, False, False)
    token = token_in(onno.get("/alert/17").text)
    refused = onno.post(TUNE, data={"token": token, **fields})
    assert (refused.status_code, "tunes: yes" in refused.text.replace("&#34;", '"')) == (403, True)
    assert onno.post(TUNE, data={"token": "x", **fields}).status_code == 403
    assert farm.entries == []


def test_a_notices_link_is_not_enough() -> None:
    """It is passed on with the message; who came by it is told to open their own link."""
    farm = InMemory()
    marit = browser(farm)
    marit.get(notice_link())
    shown = marit.get(f"{TUNE}?n=5&write=yes")
    token = token_in(marit.get("/alert/17").text)
    fields = {"token": token, "key.0": "raise_over", "value.0": "7 failures", "before.0": "5 failures", "why": "x"}
    refused = marit.post(TUNE, data=fields)

    assert (shown.status_code, "Write it" in shown.text) == (200, False)
    assert "The link in a notice is not enough to change a rule." in shown.text
    assert (refused.status_code, "The link in a notice is not enough" in refused.text) == (403, True)
    assert farm.entries == []


def test_odd_values_are_refused() -> None:
    """No key, no value, one too long, a key that is no bound, a rule that there is not."""
    marit = as_person(InMemory())
    token = token_in(marit.get("/alert/17").text)
    right = {"token": token, "key.0": "raise_over", "value.0": "7 failures", "before.0": "5 failures", "why": "x"}

    for name, value in (("key.0", ""), ("value.0", ""), ("before.0", ""), ("value.0", "7" * 101)):
        assert marit.post(TUNE, data={**right, name: value}).status_code == 400
    assert marit.post(TUNE, data={"token": token, "n": "5", "why": "x"}).status_code == 400
    for key in ("rule", "say", "options.within"):
        assert "only a bound and a length of time can" in marit.post(TUNE, data={**right, "key.0": key}).text
    assert "not a figure" in marit.post(TUNE, data={**right, "value.0": "7 # x"}).text
    assert marit.get(f"{TUNE}?n=²&n=99999").status_code == 200
    assert marit.get(f"{TUNE}?written=²").status_code == 200
    assert marit.get("/rules/nothing/tune").status_code == 404
