"""The page by a notice's link: what it opens, what a tap does, and what a stranger cannot do."""

import json
import re
import urllib.request
from dataclasses import replace

import pytest
from page_farm import ALERT, AT, BASE, KEY, InMemory, browser, notice_link, text_of

from sentinel.edges.web import LINK_FOR_S, WebServer, make_app, sign_link
from sentinel.errors import UsageError
from sentinel.flow.alerts.lifecycle import ENDED
from sentinel.flow.model import Answer


@pytest.fixture
def farm() -> InMemory:
    """A farm with one standing alert."""
    return InMemory()


def test_a_link_opens_the_alert_with_what_to_look_at_first_and_one_button_per_finding(farm):
    """The sentence, since when, everything to look at, and a tap for each finding and for "seen"."""
    page = browser(farm).get(notice_link())

    said = text_of(page.text)
    assert page.status_code == 200
    assert "Box 2: 5 failed attachments ▲ cannot wait · Since 07:50." in said
    assert "".join(re.findall(r"<ol class=\"first\".*?</ol>", page.text, re.S)).count("<li>") == 4
    assert re.findall(r'name="finding" value="([^"]*)"', page.text) == [
        "optics dirty",
        "arm out of line",
        "&lt;b&gt;other&lt;/b&gt; &amp; more",
        "",
    ]
    assert "You answer as Marit" in said


def test_looking_answers_nothing(farm):
    """A chat app that previews the link, by GET or HEAD and however often, does not answer for anybody."""
    phone = browser(farm)

    for _ in range(3):
        assert phone.get(notice_link(), headers={"User-Agent": "preview"}).status_code == 200
    assert phone.head(notice_link()).status_code == 200
    assert phone.get(notice_link() + "?finding=optics+dirty").status_code == 200

    assert farm.submissions == []


def test_one_tap_records_the_answer_once(farm):
    """The first tap is taken; the same tap again says that it was noted; another finding is another answer."""
    phone = browser(farm)
    tap = {"finding": "optics dirty", "note": " wiped \n it "}

    first, second = phone.post(notice_link(), data=tap), phone.post(notice_link(), data=tap)
    other = phone.post(notice_link(), data={"finding": "arm out of line", "note": ""})

    assert "Thank you, Marit. Recorded: optics dirty." in text_of(first.text)
    assert "Already recorded" in text_of(second.text)
    assert "Recorded: arm out of line." in text_of(other.text)
    assert farm.submissions == [
        Answer(17, AT, "Marit", "optics dirty", "wiped it"),
        Answer(17, AT, "Marit", "arm out of line", ""),
    ]


def test_a_second_tap_before_the_service_has_put_the_answer_on_its_alert_is_still_one_answer():
    """Two quick taps are one answer; the same answer after the alert came back is a new one."""
    farm = InMemory(applied=False)
    phone = browser(farm)

    said = [text_of(phone.post(notice_link(), data={"finding": ""}).text) for _ in range(2)]
    farm.alerts[17] = replace(ALERT, again=1)
    phone.post(notice_link(), data={"finding": ""})

    assert "Recorded: seen" in said[0]
    assert "Already recorded" in said[1]
    assert farm.submissions == [Answer(17, AT, "Marit", "", "")] * 2


def test_an_answered_alert_says_by_whom_and_one_that_is_over_says_since_when(farm):
    """Another person who opens their link sees the answer, and may still add their own."""
    browser(farm).post(notice_link(person="Onno"), data={"finding": "optics dirty", "note": "wiped"})
    farm.alerts[17] = replace(farm.alerts[17], over_at=AT + 60, over_why=ENDED)

    said = text_of(browser(farm).get(notice_link()).text)

    assert "Onno answered at 08:00: optics dirty. wiped" in said
    assert "Over at 08:01 : the condition ended." in said
    assert "Answer again" in said


def test_a_link_that_was_changed_cut_or_signed_elsewhere_opens_nothing(farm):
    """It is a page in plain words with status 404, for looking and for answering."""
    phone = browser(farm)
    good = notice_link()
    bad = [
        good[:-1],
        good[:-1] + ("A" if good[-1] != "A" else "B"),
        good.replace("/a/", "/a/x"),
        f"{BASE}/a/nonsense",
        sign_link(BASE, "another key", 17, "Marit", AT),
        notice_link(alert=99),
    ]

    for url in bad:
        assert phone.get(url).status_code == 404
        assert "does not work" in text_of(phone.get(url).text)
    assert phone.get("/a/").status_code == 404
    for url in bad[:3]:
        assert phone.post(url, data={"finding": "optics dirty"}).status_code == 404
    assert farm.submissions == []


def test_a_link_is_good_for_fourteen_days(farm):
    """To the second; after that the page says so, and takes no answer."""
    assert LINK_FOR_S == 14 * 86400
    farm.now = AT + LINK_FOR_S
    assert browser(farm).get(notice_link()).status_code == 200

    farm.now += 1
    late = browser(farm)
    assert late.get(notice_link()).status_code == 410
    assert "too old" in text_of(late.get(notice_link()).text)
    assert late.post(notice_link(), data={"finding": "optics dirty"}).status_code == 410
    assert farm.submissions == []


def test_a_link_that_a_clock_ahead_has_signed_opens_for_as_long_and_not_for_a_year(farm):
    """Sent while the clock stood five hours ahead it can be answered by; one of a year ahead opens nothing yet."""
    farm.now = AT - 5 * 3600
    assert browser(farm).get(notice_link()).status_code == 200

    farm.now = AT - 365 * 86400
    assert browser(farm).get(notice_link()).status_code == 410


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
    answered = browser(farm).post(notice_link(), data={"finding": "optics dirty"}, headers=headers)

    assert answered.status_code == status
    assert len(farm.submissions) == (1 if status == 200 else 0)


@pytest.mark.parametrize(
    ("body", "status"),
    [
        (b"finding=made+up", 400),
        (b"finding=%3Cb%3Eother%3C%2Fb%3E+%26+more&note=" + b"x" * 3000, 200),
        (b"note=" + b"x" * 70_000, 413),
        (b"\xff\xfe", 400),
        (b"&".join(b"a%d=1" % n for n in range(50)), 400),
        (b"kind=made+up", 400),
        (b"finding=&at=yesterday", 400),
    ],
)
def test_a_form_that_is_not_ours_is_refused_in_plain_words(farm, body, status):
    """A finding that is not in the list, nonsense and floods are refused; a long note is cut to 1,000 characters."""
    sent = browser(farm).post(
        notice_link(), content=body, headers={"Content-Type": "application/x-www-form-urlencoded"}
    )

    assert sent.status_code == status
    assert [len(submission.note) for submission in farm.submissions] == ([1000] if status == 200 else [])


def test_whatever_a_rule_or_a_person_writes_is_shown_as_text(farm):
    """Markup in a sentence, a name, a finding or a note stays text."""
    nasty = "<script>alert(1)</script>"
    farm.people = (*farm.people, nasty)
    farm.alerts[17] = replace(
        ALERT, text=nasty, answered_at=AT, answered_by=nasty, finding=nasty, note=nasty, over_at=AT
    )

    page = browser(farm).get(notice_link(person=nasty)).text

    assert "<script>" not in page
    assert page.count("&lt;script&gt;") >= 5


def test_every_answer_of_the_page_carries_the_same_guard(farm):
    """Nothing is framed, sniffed or fetched from elsewhere, no inline style or script runs; errors are no exception."""
    phone = browser(farm, raise_server_exceptions=False)
    pages = [
        phone.get(notice_link()),
        phone.post(notice_link(), data={"finding": "optics dirty"}),
        phone.get("/nowhere"),
        phone.put(notice_link()),
        phone.post(notice_link(), headers={"Sec-Fetch-Site": "cross-site"}),
        phone.get("/health"),
        phone.get("/manifest.webmanifest"),
        phone.get("/worker.js"),
        phone.get("/static/page.css"),
    ]
    farm.broken = True
    pages.append(phone.post(notice_link(), data={"finding": "arm out of line"}))

    assert [p.status_code for p in pages] == [200, 200, 404, 405, 403, 200, 200, 200, 200, 500]
    for page in pages:
        policy = page.headers["content-security-policy"]
        assert "default-src 'none'" in policy
        assert "unsafe" not in policy
        assert page.headers["referrer-policy"] == "no-referrer"
        assert page.headers["x-content-type-options"] == "nosniff"
        assert page.headers["x-frame-options"] == "DENY"
        assert "disk is full" not in page.text
    assert "may not have been taken" in text_of(pages[-1].text)


def test_pages_are_not_kept_by_the_browser_but_what_never_changes_is(farm):
    """A page may be another person's on the same phone; a file asked for by its version is the same for ever."""
    phone = browser(farm)
    page = phone.get(notice_link())
    (style,) = re.findall(r'href="(/static/page\.css\?v=[0-9a-f]+)"', page.text)

    assert page.headers["cache-control"] == "no-store"
    assert "immutable" in phone.get(style).headers["cache-control"]
    assert phone.get("/static/page.css?v=other").headers["cache-control"] == "no-store"
    assert phone.get("/static/..%2Fapp.py").status_code == 404


def test_a_tap_that_failed_can_be_tapped_again(farm):
    """An answer that was not taken is not remembered as taken."""
    phone = browser(farm, raise_server_exceptions=False)
    farm.broken = True
    assert phone.post(notice_link(), data={"finding": "optics dirty"}).status_code == 500

    farm.broken = False

    assert "Recorded: optics dirty" in text_of(phone.post(notice_link(), data={"finding": "optics dirty"}).text)


def test_the_page_asks_no_other_host_and_has_nothing_inline(farm):
    """Its style and script come from itself; there is no style attribute, no handler, no script in the page."""
    page = browser(farm).get(notice_link()).text

    assert re.findall(r"<(?:img|iframe|object|style)|\b(?:style|on\w+)=|url\(|@import", page) == []
    for address in re.findall(r'\b(?:src|href|action)="([^"]*)"', page):
        assert address.startswith(("/", "#")), address
    assert re.findall(r"<script(?![^>]*\bsrc=)[^>]*>", page) == []


def test_the_page_is_served_on_a_real_port_and_stops(farm):
    """Port 0 takes a free one; the link works over it; after stopping nobody listens."""
    with WebServer(make_app(farm, KEY, lambda: AT), "127.0.0.1", 0) as page:
        base = f"http://127.0.0.1:{page.port}"
        url = sign_link(base + "/", KEY, 17, "Marit", AT)
        with urllib.request.urlopen(f"{base}/health", timeout=5) as health:
            assert json.load(health)["ok"] is True
            assert "server" not in health.headers
        with urllib.request.urlopen(url, data=b"finding=optics+dirty&note=", timeout=5) as answered:
            assert b"Recorded: optics dirty" in answered.read()
        with pytest.raises(UsageError, match=f"cannot listen on 127.0.0.1 port {page.port}"):
            WebServer(make_app(farm, KEY, lambda: AT), "127.0.0.1", page.port).start()

    assert farm.submissions == [Answer(17, AT, "Marit", "optics dirty", "")]
    with pytest.raises(OSError, match="refused"):
        urllib.request.urlopen(f"{base}/health", timeout=5)
