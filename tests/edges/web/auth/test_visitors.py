"""Who may open the page: own links and sessions, read-only guests, forms with their token, strangers slowed down."""

import logging
import re

import pytest
from page_farm import ALERT, AT, BASE, KEY, InMemory, as_person, browser, notice_link, session_cookie, text_of, token_in

from sentinel.edges.web import LINK_FOR_S, sign_entry
from sentinel.edges.web.auth.attempts import MOST, WITHIN_S, Attempts
from sentinel.edges.web.auth.links import RENEW_AFTER_S, SESSION_FOR_S
from sentinel.flow.model import DAY_S, Answer

PAGES = ("/", "/alert/17", "/round", "/round/print", "/cow/217", "/box/1", "/tank/1", "/find", "/more", "/who")


@pytest.fixture
def farm() -> InMemory:
    """A farm where Marit has a link of her own, and a guest one that lets them look until tomorrow."""
    found = InMemory()
    found.own[2] = ("A guest", True, AT + DAY_S)
    return found


@pytest.mark.parametrize("path", PAGES)
def test_nothing_is_shown_without_a_session(farm, path):
    """It says how one comes in, and neither what the farm is called nor what stands."""
    page = browser(farm).get(path)

    assert page.status_code == 401
    assert "Who are you?" in text_of(page.text)
    assert "Test farm" not in page.text
    assert ALERT.text not in page.text


@pytest.mark.parametrize("path", ["/alert/17", "/round", "/kept"])
def test_nothing_is_taken_without_a_session(farm, path):
    """An answer, a chore, and what a phone kept."""
    assert browser(farm).post(path, data={"finding": "", "chore": "wire", "place": "east"}).status_code == 401
    assert farm.submissions == []


def test_health_manifest_and_files_need_no_session(farm):
    """They are the same for everybody and say nothing of the farm."""
    for path in ("/health", "/manifest.webmanifest", "/worker.js", "/static/page.css", "/static/page.js"):
        opened = browser(farm).get(path)
        assert opened.status_code == 200
        assert "Test farm" not in opened.text


def test_health_says_that_the_store_is_damaged(farm):
    """Whoever watches the service sees it as long as it is there; where and how is nobody's business."""
    farm.is_damaged = True
    answer = browser(farm).get("/health")

    assert (answer.status_code, answer.json()) == (503, {"ok": False, "troubles": ["store-damaged"]})


def test_an_own_link_opens_the_page_and_the_session_lasts(farm):
    """It leads to what stands; the browser then needs no link; the cookie is not for scripts or other sites."""
    phone = browser(farm)
    entered = phone.get(sign_entry(BASE, KEY, 1, "Marit"), follow_redirects=False)

    assert (entered.status_code, entered.headers["location"]) == (303, "/")
    cookie = entered.headers["set-cookie"]
    assert cookie.startswith("sentinel=")
    assert "HttpOnly" in cookie
    assert "SameSite=lax" in cookie
    assert "Secure" not in cookie
    assert ALERT.text in phone.get("/").text


def test_over_https_the_cookie_goes_by_nothing_else(farm):
    """Secure, and held to this host by its name."""
    entered = browser(farm, secure=True).get(sign_entry("", KEY, 1, "Marit"), follow_redirects=False)

    assert entered.headers["set-cookie"].startswith("__Host-sentinel=")
    assert "Secure" in entered.headers["set-cookie"]


def test_a_notices_link_opens_a_session_too(farm):
    """Who came to answer one alert can look at the rest, for as long as the link is good."""
    phone = browser(farm)
    phone.get(notice_link())

    assert phone.get("/").status_code == 200
    farm.now = AT + LINK_FOR_S
    assert phone.get("/").status_code == 200
    farm.now += 1
    assert phone.get("/").status_code == 401


def test_a_withdrawn_link_takes_its_sessions_with_it(farm):
    """At once, on every phone; so does its end, and the person's name leaving the list."""
    phone = as_person(farm)
    del farm.own[1]

    assert phone.get("/").status_code == 401
    assert phone.get(sign_entry(BASE, KEY, 1, "Marit")).status_code == 410


def test_a_session_from_a_notice_dies_when_the_person_is_shut_out(farm):
    """A lost phone: what was sent up to then opens nothing, a notice sent later does."""
    phone = browser(farm)
    phone.get(notice_link())
    farm.shut["Marit"] = AT

    assert phone.get("/").status_code == 401
    assert phone.get(notice_link()).status_code == 410
    assert phone.post(notice_link(), data={"finding": ""}).status_code == 410
    farm.now = AT + 60
    assert phone.get(notice_link(at=AT + 60)).status_code == 200


def test_a_session_in_use_is_begun_anew_and_one_left_alone_ends(farm):
    """Used every few weeks it never ends; after thirty days without use the link must be opened again."""
    farm.own[1] = ("Marit", False, AT + 400 * DAY_S)
    phone = as_person(farm)
    for _ in range(4):
        farm.now += SESSION_FOR_S
        assert "set-cookie" in phone.get("/").headers

    farm.now += SESSION_FOR_S + 1
    assert phone.get("/").status_code == 401


def test_a_session_is_not_begun_anew_at_every_look(farm):
    """Once a day is enough."""
    phone = as_person(farm)
    farm.now += RENEW_AFTER_S

    assert "set-cookie" not in phone.get("/").headers


@pytest.mark.parametrize("change", ["cut", "other key", "other person", "nonsense"])
def test_a_cookie_that_was_not_signed_here_is_nobodys(farm, change):
    """Whatever was done to it."""
    good, _ = session_cookie("Marit", 1, AT)
    bad = {"cut": good[:-1], "other key": good[:-3] + "abc", "nonsense": "x", "other person": "WyJPbm5vIiwxXQ" + good}
    phone = browser(farm)
    phone.cookies.set("sentinel", bad[change], domain="farm.test")

    assert phone.get("/").status_code == 401


def test_a_form_needs_the_token_of_its_session(farm):
    """Neither without one, nor with another session's, nor with one made up."""
    phone, other = as_person(farm), as_person(farm, "A guest", 2)
    token = token_in(phone.get("/alert/17").text)
    theirs = token_in(other.get("/more").text)

    for wrong in ("", theirs, "0" * 64, "ü"):
        assert phone.post("/alert/17", data={"token": wrong, "finding": ""}).status_code == 403
        assert phone.post("/round", data={"token": wrong, "kind": "done", "chore": "wire"}).status_code == 403
        kept = {"items": [{"kind": "answer", "alert": 17}]}
        if wrong != "ü":
            assert phone.post("/kept", json=kept, headers={"X-Form-Token": wrong}).status_code == 403
    assert farm.submissions == []
    assert phone.post("/alert/17", data={"token": token, "finding": ""}).status_code == 200
    assert farm.submissions == [Answer(17, AT, "Marit", "", "")]


def test_every_form_that_does_something_carries_the_token(farm):
    """On every page; a search does nothing."""
    phone = as_person(farm)
    for path in ("/", "/alert/17", "/round", "/find", "/more"):
        html = phone.get(path).text
        for form in re.findall(r"<form.*?</form>", html, re.DOTALL):
            assert 'method="get"' in form or 'name="token"' in form


def test_a_guest_may_look_and_not_answer(farm):
    """No form is shown, and none is taken, until the link's end; then nothing is shown either."""
    phone = as_person(farm, "A guest", 2)
    token = token_in(phone.get("/more").text)

    page = phone.get("/alert/17")
    assert page.status_code == 200
    assert "optics dirty" not in page.text.lower()
    refused = phone.post("/alert/17", data={"token": token, "finding": "optics dirty"})
    assert refused.status_code == 403
    assert "View only" in refused.text
    assert phone.post("/round", data={"token": token, "kind": "done", "chore": "wire"}).status_code == 403
    assert phone.post("/kept", json={"items": []}, headers={"X-Form-Token": token}).status_code == 403
    assert farm.submissions == []
    farm.now = AT + DAY_S
    assert phone.get("/").status_code == 401


def test_leaving_forgets_the_session_on_this_phone(farm):
    """Afterwards nothing is shown."""
    phone = as_person(farm)
    token = token_in(phone.get("/more").text)

    assert phone.post("/leave", data={"token": "wrong"}).status_code == 403
    assert phone.get("/").status_code == 200
    assert "Signed out" in phone.post("/leave", data={"token": token}).text
    assert phone.get("/").status_code == 401


def test_a_browser_known_as_one_person_becomes_another_by_their_link(farm):
    """Whoever's notice is opened last is who answers from then on, and the page says who."""
    phone = as_person(farm)
    phone.get(notice_link(person="Onno"))

    assert "You are Onno." in text_of(phone.get("/more").text)


# --- strangers -------------------------------------------------------------------------------------------


def test_bad_links_are_logged_without_the_link_and_slowed_down(farm, caplog):
    """After twenty from one address in ten minutes it says to wait; a good link opens all the same."""
    phone = browser(farm)
    with caplog.at_level(logging.WARNING, "sentinel.page"):
        answers = [phone.get(f"/enter/guess{n}").status_code for n in range(MOST + 2)]

    assert answers == [404] * MOST + [429] * 2
    assert len(caplog.messages) == MOST
    assert all("testclient" in said and "guess" not in said for said in caplog.messages)
    assert phone.get("/a/guess").status_code == 429
    assert phone.get(sign_entry(BASE, KEY, 1, "Marit")).status_code == 200


def test_attempts_are_counted_by_address_and_forgotten_after_ten_minutes():
    """One address does not use up another's."""
    attempts = Attempts()
    for n in range(MOST):
        assert not attempts.failed("10.0.0.1", AT + n)

    assert attempts.failed("10.0.0.1", AT + MOST)
    assert not attempts.failed("10.0.0.2", AT + MOST)
    assert not attempts.failed("10.0.0.1", AT + MOST + WITHIN_S)


def test_what_is_the_matter_with_sentinel_itself_stands_on_every_page(farm):
    """On each screen, in the farm's words and as text; health says that it is not well, and nothing of the farm."""
    farm.own_troubles = ["The disk of the farm's computer is <full>"]
    phone = browser(farm)
    phone.get(sign_entry(BASE, KEY, 1, "Marit"))

    for path in ("/", "/round", "/more", "/alert/17"):
        assert "The disk of the farm&#39;s computer is &lt;full&gt;." in phone.get(path).text
    assert phone.get("/health").status_code == 503
    farm.own_troubles = []
    assert 'role="alert"' not in phone.get("/").text
