"""The answer page: what a link opens, what a tap does, and what a stranger cannot do."""

import base64
import hashlib
import re
import urllib.request
from dataclasses import dataclass, field, replace

import pytest
from starlette.testclient import TestClient

from sentinel.edges.page import LINK_FOR_S, Page, make_app, sign_link
from sentinel.errors import UsageError
from sentinel.flow.model import Alert

KEY = "a key made for this test"
AT = 1_777_881_600
ALERT = Alert(
    id=17,
    rule="box-failures",
    subject="box:2",
    raised_at=AT,
    since=AT - 600,
    urgency="now",
    text="Box 2: 5 failed attachments",
    look_first=("Put the box out of operation first", "Is the lens clean?", "Compare with box 1", "One too many"),
)


@dataclass
class Farm:
    """What the page sees, kept in memory; `applied` says whether an answer is on its alert at once."""

    alerts: dict[int, Alert] = field(default_factory=lambda: {17: ALERT})
    answers: list[tuple[int, str, str, str]] = field(default_factory=list)
    applied: bool = True
    broken: bool = False

    def alert(self, alert):
        """The alert with this number."""
        return self.alerts.get(alert)

    def findings(self, rule):
        """The same for every rule."""
        return ("optics dirty", "arm out of line", "<b>other</b> & more")

    def answer(self, alert, person, finding, note):
        """Take the answer down."""
        if self.broken:
            raise OSError("the disk is full")
        self.answers.append((alert, person, finding, note))
        if self.applied:
            old = self.alerts[alert]
            self.alerts[alert] = replace(old, answered_at=AT, answered_by=person, finding=finding, note=note)
        return f"Noted: {finding or 'seen'}. Thank you, {person}."

    def time(self, at):
        """A clock anybody can check by hand."""
        return f"moment {at - AT}"


@pytest.fixture
def farm() -> Farm:
    """A farm with one standing alert."""
    return Farm()


def open_app(farm: Farm, now: int = AT, **given) -> TestClient:
    """A browser on this farm's page."""
    return TestClient(make_app(farm, KEY, lambda: now), base_url="http://farm.test", **given)


def link(alert: int = 17, person: str = "Marit", at: int = AT) -> str:
    """A signed link as it stands in a notice."""
    return sign_link("http://farm.test", KEY, alert, person, at)


def text_of(html: str) -> str:
    """What a person reads of a page."""
    return " ".join(re.sub(r"<[^>]+>", " ", html.split("</style>")[1]).split())


def test_a_link_opens_the_alert_with_what_to_look_at_first_and_one_button_per_finding(farm):
    """The sentence, since when, at most three things to look at, and a tap for each finding and for "seen"."""
    page = open_app(farm).get(link())

    said = text_of(page.text)
    assert page.status_code == 200
    assert "Box 2: 5 failed attachments Since moment -600." in said
    assert page.text.count("<li>") == 3
    assert "One too many" not in page.text
    assert re.findall(r'name="finding" value="([^"]*)"', page.text) == [
        "optics dirty",
        "arm out of line",
        "&lt;b&gt;other&lt;/b&gt; &amp; more",
        "",
    ]
    assert "You answer as Marit" in said


def test_looking_answers_nothing(farm):
    """A chat app that previews the link, by GET or HEAD and however often, does not answer for anybody."""
    browser = open_app(farm)

    for _ in range(3):
        assert browser.get(link(), headers={"User-Agent": "preview"}).status_code == 200
    assert browser.head(link()).status_code == 200
    assert browser.get(link() + "?finding=optics+dirty").status_code == 200

    assert farm.answers == []


def test_one_tap_records_the_answer_once(farm):
    """The first tap is taken; the same tap again says that it was noted; another finding is another answer."""
    browser = open_app(farm)
    tap = {"finding": "optics dirty", "note": " wiped \n it "}

    first, second = browser.post(link(), data=tap), browser.post(link(), data=tap)
    other = browser.post(link(), data={"finding": "arm out of line", "note": ""})

    assert "Noted: optics dirty. Thank you, Marit." in text_of(first.text)
    assert "already noted" in text_of(second.text)
    assert "Noted: arm out of line." in text_of(other.text)
    assert farm.answers == [(17, "Marit", "optics dirty", "wiped it"), (17, "Marit", "arm out of line", "")]


def test_a_second_tap_before_the_service_has_put_the_answer_on_its_alert_is_still_one_answer():
    """Two quick taps are one answer; the same answer after the alert came back is a new one."""
    farm = Farm(applied=False)
    browser = open_app(farm)

    said = [text_of(browser.post(link(), data={"finding": ""}).text) for _ in range(2)]
    farm.alerts[17] = replace(ALERT, again=1)
    browser.post(link(), data={"finding": ""})

    assert "Noted: seen" in said[0]
    assert "already noted" in said[1]
    assert farm.answers == [(17, "Marit", "", "")] * 2


def test_an_answered_alert_says_by_whom_and_one_that_is_over_says_since_when(farm):
    """Another person who opens their link sees the answer, and may still add their own."""
    open_app(farm).post(link(person="Onno"), data={"finding": "optics dirty", "note": "wiped"})
    farm.alerts[17] = replace(farm.alerts[17], over_at=AT + 60, over_why="the condition ended")

    page = open_app(farm).get(link())

    said = text_of(page.text)
    assert "Onno answered at moment 0: optics dirty. wiped" in said
    assert "Over since moment 60 : the condition ended." in said
    assert "Answer again" in said


def test_a_link_that_was_changed_cut_or_signed_elsewhere_opens_nothing(farm):
    """It is a page in plain words with status 404, for looking and for answering."""
    browser = open_app(farm)
    good = link()
    bad = [
        good[:-1],
        good[:-1] + ("A" if good[-1] != "A" else "B"),
        good.replace("/a/", "/a/x"),
        "http://farm.test/a/nonsense",
        sign_link("http://farm.test", "another key", 17, "Marit", AT),
        link(alert=99),
        "http://farm.test/",
        "http://farm.test/a/",
    ]

    for url in bad:
        assert browser.get(url).status_code == 404
        assert "does not open anything" in text_of(browser.get(url).text)
    for url in bad[:6]:
        assert browser.post(url, data={"finding": "optics dirty"}).status_code == 404
    assert farm.answers == []


def test_a_link_is_good_for_fourteen_days(farm):
    """To the second; after that the page says so, and takes no answer."""
    last, late = open_app(farm, AT + LINK_FOR_S), open_app(farm, AT + LINK_FOR_S + 1)

    assert LINK_FOR_S == 14 * 86400
    assert last.get(link()).status_code == 200
    assert late.get(link()).status_code == 410
    assert "too old" in text_of(late.get(link()).text)
    assert late.post(link(), data={"finding": "optics dirty"}).status_code == 410
    assert farm.answers == []


@pytest.mark.parametrize(
    ("headers", "status"),
    [
        ({}, 200),
        ({"Sec-Fetch-Site": "same-origin", "Origin": "null"}, 200),
        ({"Sec-Fetch-Site": "cross-site"}, 403),
        ({"Sec-Fetch-Site": "same-site"}, 403),
        ({"Sec-Fetch-Site": "cross-site", "Origin": "http://farm.test"}, 403),
        ({"Origin": "http://farm.test"}, 200),
        ({"Origin": "https://elsewhere.test"}, 403),
        ({"Origin": "null"}, 200),
    ],
)
def test_a_form_on_another_page_cannot_answer(farm, headers, status):
    """What a browser says of where a form came from is believed when it says "elsewhere"."""
    answered = open_app(farm).post(link(), data={"finding": "optics dirty"}, headers=headers)

    assert answered.status_code == status
    assert len(farm.answers) == (1 if status == 200 else 0)


@pytest.mark.parametrize(
    ("body", "status"),
    [
        (b"finding=made+up", 400),
        (b"finding=%3Cb%3Eother%3C%2Fb%3E+%26+more&note=" + b"x" * 3000, 200),
        (b"note=" + b"x" * 20_000, 413),
        (b"\xff\xfe", 400),
        (b"&".join(b"a%d=1" % n for n in range(50)), 400),
    ],
)
def test_a_form_that_is_not_ours_is_refused_in_plain_words(farm, body, status):
    """A finding that is not in the list, nonsense and floods are refused; a long note is cut to 1,000 characters."""
    sent = open_app(farm).post(link(), content=body, headers={"Content-Type": "application/x-www-form-urlencoded"})

    assert sent.status_code == status
    assert [len(note) for *_, note in farm.answers] == ([1000] if status == 200 else [])


def test_whatever_a_rule_or_a_person_writes_is_shown_as_text(farm):
    """Markup in a sentence, a name, a finding or a note stays text."""
    nasty = "<script>alert(1)</script>"
    farm.alerts[17] = replace(
        ALERT, text=nasty, answered_at=AT, answered_by=nasty, finding=nasty, note=nasty, over_at=AT
    )

    page = open_app(farm).get(link(person=nasty)).text

    assert "<script" not in page
    assert page.count("&lt;script&gt;") >= 5


def test_every_answer_of_the_page_carries_the_same_guard(farm):
    """Nothing is kept, framed, sniffed or fetched from elsewhere, and errors are no exception."""
    browser = open_app(farm, raise_server_exceptions=False)
    pages = [
        browser.get(link()),
        browser.post(link(), data={"finding": "optics dirty"}),
        browser.get("/nowhere"),
        browser.put(link()),
        browser.post(link(), headers={"Sec-Fetch-Site": "cross-site"}),
        browser.get("/health"),
    ]
    farm.broken = True
    pages.append(browser.post(link(), data={"finding": "arm out of line"}))

    assert [p.status_code for p in pages] == [200, 200, 404, 405, 403, 200, 500]
    for page in pages:
        assert page.headers["cache-control"] == "no-store"
        assert page.headers["referrer-policy"] == "no-referrer"
        assert page.headers["x-content-type-options"] == "nosniff"
        assert "default-src 'none'" in page.headers["content-security-policy"]
        assert "set-cookie" not in page.headers
        assert "disk is full" not in page.text
    assert "may not have been taken" in text_of(pages[-1].text)


def test_a_tap_that_failed_can_be_tapped_again(farm):
    """An answer that was not taken is not remembered as taken."""
    browser = open_app(farm, raise_server_exceptions=False)
    farm.broken = True
    assert browser.post(link(), data={"finding": "optics dirty"}).status_code == 500

    farm.broken = False

    assert "Noted: optics dirty" in text_of(browser.post(link(), data={"finding": "optics dirty"}).text)


def test_the_page_asks_for_nothing_else(farm):
    """No script, no link, no picture; its one style is the one that its policy lets through by hash."""
    page = open_app(farm).get(link())

    assert (
        re.findall(r"<(?:script|link|img|iframe|object|svg)|\b(?:src|href|style|on\w+)=|url\(|@import", page.text) == []
    )
    (style,) = re.findall(r"<style>(.*?)</style>", page.text, re.DOTALL)
    digest = base64.b64encode(hashlib.sha256(style.encode()).digest()).decode()
    assert f"style-src 'sha256-{digest}'" in page.headers["content-security-policy"]


def test_the_page_is_served_on_a_real_port_and_stops(farm):
    """Port 0 takes a free one; the link works over it; after stopping nobody listens."""
    with Page(make_app(farm, KEY, lambda: AT), "127.0.0.1", 0) as page:
        base = f"http://127.0.0.1:{page.port}"
        url = sign_link(base + "/", KEY, 17, "Marit", AT)
        with urllib.request.urlopen(f"{base}/health", timeout=5) as health:
            assert health.read() == b"ok"
            assert "server" not in health.headers
        with urllib.request.urlopen(url, data=b"finding=optics+dirty&note=", timeout=5) as answered:
            assert b"Noted: optics dirty" in answered.read()
        with pytest.raises(UsageError, match=f"cannot listen on 127.0.0.1 port {page.port}"):
            Page(make_app(farm, KEY, lambda: AT), "127.0.0.1", page.port).start()

    assert farm.answers == [(17, "Marit", "optics dirty", "")]
    with pytest.raises(OSError, match="refused"):
        urllib.request.urlopen(f"{base}/health", timeout=5)
