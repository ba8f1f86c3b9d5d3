"""What people say from the page: answered, put off, handed over, ticked; kept without signal and taken once."""

import sqlite3
from dataclasses import replace

import pandas as pd
import pytest
from page_farm import ALERT, AT, InMemory, as_person, browser, notice_link, text_of, token_in

from sentinel.flow.alerts.lifecycle import ENDED
from sentinel.flow.model import Answer, Chore

MIN = 60


@pytest.fixture
def farm() -> InMemory:
    """A farm with one standing alert."""
    return InMemory()


def tap(phone, path="/alert/17", **fields):
    """A tap on a form of a page, with the token that the page has."""
    return phone.post(path, data={"token": token_in(phone.get(path).text), **fields})


def kept(phone, *items):
    """What a phone kept without signal, sent by its script."""
    told = phone.get("/who").json()
    answer = phone.post("/kept", json={"items": list(items)}, headers={"X-Form-Token": told["token"]})
    assert answer.status_code == 200
    return answer.json()["said"]


# --- by form ---------------------------------------------------------------------------------------------


def test_an_answer_by_form_leads_back_to_the_alert_with_what_was_said(farm):
    """Reloading the page that follows answers nothing again."""
    phone = as_person(farm)
    shown = tap(phone, number="form-0001", finding="optics dirty", note="wiped")

    assert "Thank you, Marit. Recorded: optics dirty." in text_of(shown.text)
    assert "Marit answered at 08:00: optics dirty. wiped" in text_of(shown.text)
    assert "Recorded: optics dirty" in text_of(phone.get(shown.request.url).text)
    assert farm.submissions == [Answer(17, AT, "Marit", "optics dirty", "wiped")]


def test_a_form_sent_twice_is_taken_once(farm):
    """Two taps before the page changed; the form's own number tells them from two answers."""
    farm.applied = False
    phone = as_person(farm)
    for _ in range(2):
        shown = tap(phone, number="form-0001", finding="optics dirty")

    assert "Already recorded" in text_of(shown.text)
    tap(phone, number="form-0002", finding="optics dirty")
    assert len(farm.submissions) == 2


def test_what_was_said_to_one_person_is_not_shown_to_another(farm):
    """The number in the address is worth nothing to others."""
    tap(as_person(farm), number="form-0001", finding="", note="")
    farm.own[3] = ("Onno", False, AT + 10**6)

    assert "Thank you" not in as_person(farm, "Onno", 3).get("/alert/17?told=form-0001").text


def test_an_alert_is_put_off_by_a_button_or_until_a_time(farm):
    """The time is the next one that the farm's clock shows; the page says until when."""
    phone = as_person(farm)
    first = tap(phone, kind="put-off", until=str(AT + 3600))
    tap(phone, kind="put-off", until="", clock="16:30")
    tap(phone, kind="put-off", until="", clock="07:45")

    assert "Put off until 09:00. You will be told again then." in text_of(first.text)
    hours = [(submission.until - AT) / 3600 for submission in farm.submissions]
    assert hours == [1, 8.5, 23.75]
    assert tap(phone, kind="put-off", until="", clock="25:00").status_code == 400


def test_an_alert_is_handed_to_somebody_on_the_list_and_to_nobody_else(farm):
    """Not to oneself, not to a name that people.yaml does not have."""
    phone = as_person(farm)
    shown = tap(phone, kind="hand", hand_to="Onno")

    assert "Handed to Onno, who is told now." in text_of(shown.text)
    assert farm.submissions == [Answer(17, AT, "Marit", hand_to="Onno")]
    assert tap(phone, kind="hand", hand_to="Marit").status_code == 400
    assert tap(phone, kind="hand", hand_to="Nobody").status_code == 400


def test_with_whom_an_alert_lies_is_said(farm):
    """On its own page and on that of everything that stands."""
    farm.alerts[17] = replace(ALERT, lies_with="Onno", lies_from=AT + 3600)
    phone = as_person(farm)
    assert "Onno put it off until 09:00" in text_of(phone.get("/alert/17").text)
    assert "Onno put it off until 09:00" in text_of(phone.get("/").text)

    farm.alerts[17] = replace(ALERT, lies_with="Onno", lies_from=AT)
    assert "with Onno" in text_of(phone.get("/").text)


def test_a_chore_is_ticked_by_one_tap(farm):
    """Who and when go with it; a chore or a place that the farm does not have is refused."""
    phone = as_person(farm)
    token = token_in(phone.get("/alert/17").text)
    shown = phone.post("/round", data={"token": token, "kind": "done", "chore": "wire", "place": "east"})

    assert "Recorded as done: wire east." in text_of(shown.text)
    assert farm.submissions == [Chore("wire", "east", AT, "Marit")]
    for chore, place in (("wire", "west"), ("dance", "east"), ("filter", "")):
        refused = phone.post("/round", data={"token": token, "kind": "done", "chore": chore, "place": place})
        assert refused.status_code == 400


def test_a_tick_sent_twice_or_by_two_at_once_is_taken_once(farm):
    """By its number, from one form or from another that carries it."""
    phone = as_person(farm)
    token = token_in(phone.get("/alert/17").text)
    tick = {"token": token, "number": "tick-0001", "kind": "done", "chore": "filter", "place": "2"}
    for _ in range(2):
        assert phone.post("/round", data=tick).status_code == 200
    all_here = {"token": token, "kind": "done", "place": "2", "each": "tick-0001 filter\r\n"}
    again = phone.post("/round", data=all_here)

    assert "Already recorded." in text_of(again.text)
    assert farm.submissions == [Chore("filter", "2", AT, "Marit")]
    assert phone.post("/round", data={**all_here, "each": " "}).status_code == 400
    assert phone.post("/round", data={**all_here, "each": "tick-0002 dance"}).status_code == 400


def test_a_tick_is_taken_back_by_its_own_number_or_by_its_moment(farm):
    """At once, and later from the row that says by whom it was done; a number that never came takes back nothing."""
    phone = as_person(farm)
    token = token_in(phone.get("/alert/17").text)
    chore = {"kind": "done", "chore": "filter", "place": "2"}
    items = [
        {**chore, "number": "tick-0001", "at": AT - 90},
        {**chore, "number": "back-0001", "kind": "undone", "undoes": "tick-0001", "at": AT - 80},
        {**chore, "number": "back-0002", "kind": "undone", "undoes": "never-came", "at": AT - 70},
    ]
    receipts = phone.post("/kept", json={"items": items}, headers={"X-Form-Token": token}).json()
    later = {"token": token, "kind": "undone", "chore": "filter", "place": "2", "record_place": "", "done_at": AT - 50}
    shown = phone.post("/round", data=later)

    assert [one["state"] for one in receipts["said"]] == ["taken"] * 3
    assert receipts["at"] == AT
    assert "Taken back: filter is not done." in text_of(shown.text)
    assert [(one.place, one.undoes) for one in farm.submissions] == [
        ("2", None),
        ("2", AT - 90),
        ("2", 0),
        ("", AT - 50),
    ]
    assert phone.post("/round", data={**later, "done_at": "x"}).status_code == 400


def test_somebody_elses_number_takes_back_nothing_of_theirs(farm):
    """A number counts with its person alone."""
    farm.own[2] = ("Onno", False, AT + 10**7)
    marit, onno = as_person(farm), as_person(farm, "Onno", 2)
    token = token_in(marit.get("/alert/17").text)
    tick = {"token": token, "number": "tick-0001", "kind": "done", "chore": "filter", "place": "2"}
    marit.post("/round", data=tick)
    token = token_in(onno.get("/alert/17").text)
    onno.post("/round", data={**tick, "token": token, "number": "back-0001", "kind": "undone", "undoes": "tick-0001"})

    assert [one.undoes for one in farm.submissions] == [None, 0]


def test_the_link_of_a_lists_notice_opens_the_round(farm):
    """With a session begun, as any notice's link."""
    phone = browser(farm)
    shown = phone.get(notice_link(0), follow_redirects=False)

    assert (shown.status_code, shown.headers["location"]) == (303, "/round")
    assert "Round of 06:30" in text_of(phone.get("/round").text)


# --- kept without signal ---------------------------------------------------------------------------------


def test_what_a_phone_kept_is_taken_once_with_the_time_it_was_made(farm):
    """However often it is sent, also together with new things."""
    phone = as_person(farm)
    farm.applied = False
    answer = {"number": "kept-0001", "kind": "answer", "alert": "17", "finding": "optics dirty", "at": AT - 20 * MIN}
    chore = {"number": "kept-0002", "kind": "done", "chore": "wire", "place": "east", "at": AT - 10 * MIN}

    said = [kept(phone, answer), kept(phone, answer, chore), kept(phone, answer, chore)]

    assert [[one["state"] for one in told] for told in said] == [
        ["taken"],
        ["already", "taken"],
        ["already", "already"],
    ]
    assert farm.submissions == [
        Answer(17, AT - 20 * MIN, "Marit", "optics dirty"),
        Chore("wire", "east", AT - 10 * MIN, "Marit"),
    ]


def test_an_answer_that_comes_after_anothers_is_taken_and_the_conflict_is_said(farm):
    """Onno answered while Marit's phone had no signal."""
    farm.alerts[17] = replace(ALERT, answered_at=AT - 5 * MIN, answered_by="Onno", finding="arm out of line")
    [told] = kept(as_person(farm), {"number": "kept-0001", "alert": 17, "finding": "optics dirty", "at": AT - 10 * MIN})

    assert told["state"] == "conflict"
    assert "Onno had already answered at 07:55: arm out of line. Both are in the log." in told["text"]
    assert len(farm.submissions) == 1


def test_what_is_sent_again_is_told_what_was_said_to_it(farm):
    """The reply to the first try was lost with the signal; what stood in it is not."""
    farm.alerts[17] = replace(ALERT, answered_at=AT - 5 * MIN, answered_by="Onno", finding="arm out of line")
    item = {"number": "kept-0001", "alert": 17, "finding": "optics dirty", "at": AT - 10 * MIN}
    [[lost], [told]] = [kept(as_person(farm), item) for _ in range(2)]

    assert (lost["state"], told["state"]) == ("conflict", "already")
    assert told["text"] == lost["text"]
    assert len(farm.submissions) == 1


def test_an_answer_to_an_alert_that_is_over_by_now_says_so(farm):
    """It is taken all the same."""
    farm.alerts[17] = replace(ALERT, over_at=AT - 5 * MIN, over_why=ENDED)
    [told] = kept(as_person(farm), {"number": "kept-0001", "alert": 17, "finding": "", "at": AT - 10 * MIN})

    assert told["state"] == "conflict"
    assert "It was already over at 07:55." in told["text"]
    assert len(farm.submissions) == 1


def test_a_chore_that_somebody_else_did_meanwhile_says_so(farm):
    """Both are kept: each is a time at which it was done."""
    row = {"chore": ["wire"], "place": ["east"], "at": [AT - 5 * MIN], "person": ["Onno"], "note": [""]}
    farm.tables = replace(farm.tables, chores=pd.DataFrame(row))
    item = {"number": "kept-0001", "kind": "done", "chore": "wire", "place": "east", "at": AT - 10 * MIN}
    [told] = kept(as_person(farm), item)

    assert told["state"] == "conflict"
    assert "Onno had already done it at 07:55." in told["text"]
    assert len(farm.submissions) == 1


def test_what_another_person_kept_on_the_same_phone_is_not_taken_as_mine(farm):
    """It is said, so that it is not lost in silence."""
    [told] = kept(as_person(farm), {"number": "kept-0001", "alert": 17, "finding": "", "person": "Onno"})

    assert (told["state"], farm.submissions) == ("refused", [])
    assert "Onno had saved it" in told["text"]


@pytest.mark.parametrize(
    "item",
    [
        {"alert": 99},
        {"alert": "x"},
        {"alert": 17, "finding": "made up"},
        {"kind": "done", "chore": "dance", "place": ""},
        {"alert": 17, "at": "yesterday"},
        {"kind": "made up", "alert": 17},
        {},
    ],
)
def test_what_cannot_be_taken_is_said_and_does_not_stop_the_rest(farm, item):
    """The good one beside it is taken."""
    good = {"number": "kept-0002", "alert": 17, "finding": ""}
    told = kept(as_person(farm), {"number": "kept-0001", **item}, good)

    assert [one["state"] for one in told] == ["refused", "taken"]
    assert len(farm.submissions) == 1


def test_what_fails_here_stays_on_the_phone(farm, caplog):
    """Nothing is said of it, so that the phone sends it again; what was said of others stands."""
    phone = as_person(farm)
    farm.broken = True
    items = [{"number": "kept-0001", "alert": 17, "finding": ""}, {"number": "kept-0002", "alert": 99}]

    assert [one["number"] for one in kept(phone, *items)] == ["kept-0002"]
    assert "could not be taken" in caplog.text
    farm.broken = False
    assert [one["state"] for one in kept(phone, items[0])] == ["taken"]


@pytest.mark.parametrize("body", [b"", b"[]", b"{}", b'{"items": 3}', b'{"items": [' + b"0," * 60 + b"0]}"])
def test_what_is_no_list_of_things_is_refused(farm, body):
    """Nonsense and floods."""
    phone = as_person(farm)
    headers = {"X-Form-Token": phone.get("/who").json()["token"]}

    assert phone.post("/kept", content=body, headers=headers).status_code == 400


def test_a_phone_whose_clock_is_wrong_cannot_answer_in_the_future_or_long_ago(farm):
    """A moment to come is now; one of last year is two weeks ago."""
    farm.applied = False
    phone = as_person(farm)
    kept(phone, {"number": "kept-0001", "alert": 17, "finding": "", "at": AT + 9999})
    kept(phone, {"number": "kept-0002", "alert": 17, "finding": "", "at": 5})

    assert [submission.at for submission in farm.submissions] == [AT, AT - 14 * 86400]


def test_what_the_store_does_not_take_is_said_not_to_be_kept(farm, monkeypatch):
    """A full disk, or another process that holds the store: plainly, without a traceback, and by 503."""

    def full(*_: object) -> None:
        raise sqlite3.OperationalError("database is locked")

    phone = as_person(farm)
    monkeypatch.setattr(farm, "take", full)
    reply = tap(phone, finding="optics dirty", number="n1")

    assert reply.status_code == 503
    assert "This was not saved" in reply.text
    assert "Send it again in a few minutes." in reply.text
    assert farm.submissions == []
