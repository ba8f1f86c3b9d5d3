"""A real `sentinel run`, besieged: idle connections, long bodies, slow senders, picture bombs, photos at once.

On this machine 127.0.0.2 and its like are addresses as good as any other on Linux, so that one process can be many
strangers. 127.0.0.1 itself counts as a web server's: what comes from there is many phones.
"""

from __future__ import annotations

import io
import re
import socket
import sys
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor

import pytest
from besieged import OTHER, PATHS, STRANGER, Besieged, answer_on, besieged_farm, dripped, push, seconds
from PIL import Image

from sentinel.edges.clock import Clock
from sentinel.edges.settings import STORE_NAME, page_key
from sentinel.edges.store import Store
from sentinel.edges.store.log import log_entries
from sentinel.edges.web import sign_link
from sentinel.edges.web.auth.door import BODY_S, DRAIN_S, FROM_ONE, HEAD_S, IN_ALL
from sentinel.edges.web.forms.photos import PHOTO_LENGTH
from sentinel.edges.web.request_input import DISCARD_S

pytestmark = [
    pytest.mark.skipif(
        sys.platform != "linux", reason="needs Linux: addresses of this machine, and what a process holds"
    ),
    pytest.mark.timeout(240),
]

SECONDS = 1.0
"""What a besieged page may take to answer, on a busy machine, too; on a quiet one it is hundredths."""


@pytest.fixture(scope="module")
def besieged(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Besieged]:
    """`sentinel run` on a small farm with one alert, and one person's session."""
    with besieged_farm(tmp_path_factory.mktemp("besieged")) as farm:
        yield farm


# --- connections that ask nothing --------------------------------------------------------------------------


@pytest.mark.parametrize("source", [OTHER, STRANGER], ids=["from another address", "from the same address"])
def test_connections_that_ask_nothing_lock_nobody_out(besieged: Besieged, source: str) -> None:
    """A hundred of one address; the page answers another connection at once, from wherever it comes."""
    idle = [besieged.open(STRANGER) for _ in range(100)]
    began = time.monotonic()  # noqa: TID251
    status, text = besieged.ask("GET /health", source=source)

    assert (status, '"ok":false' in text) == (503, True)  # no look was ever made here, and it says so
    assert seconds(began) < SECONDS
    for one in idle:
        one.close()


def test_no_address_keeps_more_connections_than_its_share(besieged: Besieged) -> None:
    """Those that have waited longest make room; the newest are still open."""
    idle = [besieged.open(STRANGER) for _ in range(FROM_ONE + 20)]
    time.sleep(1)
    for one in idle:
        one.setblocking(False)
    ended = [_is_ended(one) for one in idle]

    assert ended == [True] * 20 + [False] * FROM_ONE
    for one in idle:
        one.close()


def _is_ended(one: socket.socket) -> bool:
    """Whether the other side has closed a connection."""
    try:
        return one.recv(1) == b""
    except BlockingIOError:
        return False


def test_connections_from_everywhere_that_ask_nothing_lock_nobody_out(besieged: Besieged) -> None:
    """More than the page keeps in all, each address within its share; and from this machine, which has no share."""
    for sources in ([f"127.0.1.{n // 25}" for n in range(IN_ALL + 50)], ["127.0.0.1"] * (IN_ALL + 50)):
        idle = [besieged.open(source) for source in sources]
        began = time.monotonic()  # noqa: TID251
        assert besieged.ask("GET /health")[0] == 200
        assert besieged.ask("GET /", source="127.0.0.1")[0] == 401
        assert seconds(began) < SECONDS
        for one in idle:
            one.close()


# --- what takes its time -----------------------------------------------------------------------------------


def test_what_comes_letter_by_letter_is_ended(besieged: Besieged) -> None:
    """A head, a second head on the same connection, a body of somebody known, and one that was refused already."""
    known, refused = (besieged.head("POST /alert/1", 60_000, known=known) for known in (True, False))
    kept_open = refused.replace(b"Connection: close\r\n", b"")
    slow = {
        "a head": (b"GET / HTTP/1.1\r\nX-Long: ", b"a", HEAD_S, {0}),
        "a second head": (b"GET /health HTTP/1.1\r\nHost: farm.test\r\n\r\nGET / HTTP/1.1\r\nX: ", b"a", HEAD_S, {200}),
        "a body": (known, b"a", BODY_S, {408}),
        "a refused body": (refused, b"a", DISCARD_S, {401}),
        "a refused body on a connection to be kept": (kept_open, b"a", DISCARD_S + DRAIN_S, {401}),
    }
    with ThreadPoolExecutor(5) as several:
        began = [several.submit(dripped, besieged, first, drop, 60) for first, drop, _, _ in slow.values()]
        ended = [one.result() for one in began]

    for (took, status), (name, (_, _, allowed, right)) in zip(ended, slow.items(), strict=True):
        assert allowed - 1 < took < allowed + 5, name
        assert status in right, name


# --- what is too much --------------------------------------------------------------------------------------


def test_sixty_long_bodies_of_strangers_are_held_nowhere(besieged: Besieged) -> None:
    """Who it is comes before what they send: the process grows by no more than its own work."""
    besieged.ask("GET /")
    before = besieged.forget_peak()
    with ThreadPoolExecutor(60) as several:
        heads = [besieged.head(f"POST {PATHS[n % len(PATHS)]}", PHOTO_LENGTH) for n in range(60)]
        pushed = [several.submit(push, besieged, head, f"127.0.2.{n // 10}") for n, head in enumerate(heads)]
        began = time.monotonic()  # noqa: TID251
        assert besieged.ask("GET /health")[0] == 200
        took = seconds(began)
        said = {one.result() for one in pushed}

    assert said <= {401, 404, 429, 200}  # no access, no such link, left
    assert besieged.peak_mb() - before < 60
    assert took < SECONDS * 2  # sixty threads of this test want the processor, too


def test_many_long_bodies_of_somebody_known_are_held_a_few_at_a_time(besieged: Besieged) -> None:
    """The others wait their turn on the way."""
    before = besieged.forget_peak()
    with ThreadPoolExecutor(24) as several:
        head = besieged.head("POST /kept/photo", PHOTO_LENGTH, known=True, kind="multipart/form-data; boundary=x")
        said = {one.result() for one in [several.submit(push, besieged, head, STRANGER) for _ in range(24)]}

    assert said == {400}
    assert besieged.peak_mb() - before < 4 * 3 * PHOTO_LENGTH / 1e6


def test_a_head_that_is_too_long_is_refused(besieged: Besieged) -> None:
    """And a body that says beforehand how long it is, though nothing of it ever comes."""
    with besieged.open() as asked:
        asked.sendall(b"GET / HTTP/1.1\r\nX: " + b"a" * 100_000)
        assert answer_on(asked)[0] == 400
    with besieged.open() as asked:
        asked.sendall(besieged.head("POST /alert/1", 10**9, known=True))
        assert re.match(rb"HTTP/1.1 413", asked.recv(4096))


# --- pictures ----------------------------------------------------------------------------------------------


def picture(kind: str, size: tuple[int, int], mode: str = "RGB", colour: object = None, **options: object) -> bytes:
    """A picture of one colour, which is small as a file however large it is."""
    out = io.BytesIO()
    Image.new(mode, size, colour or 0).save(out, kind, **options)  # type: ignore[arg-type]
    return out.getvalue()


def test_a_picture_bomb_is_refused_unopened_and_the_limit_is_said(besieged: Besieged) -> None:
    """Four hundred million pixels in fifty kilobytes."""
    bomb = picture("PNG", (20_000, 20_000), "1")
    assert len(bomb) < 60_000
    besieged.send_photo(picture("PNG", (40, 20)), "small-photo")
    before = besieged.forget_peak()
    with ThreadPoolExecutor(8) as several:
        answers = list(several.map(lambda n: besieged.send_photo(bomb, f"bomb-{n:08}"), range(8)))

    for status, text in answers:
        assert status == 413
        assert "The picture has more than 16 million pixels. Take it again in a smaller size." in text
    assert besieged.peak_mb() - before < 40


def test_eight_photos_at_once_are_all_taken(besieged: Besieged) -> None:
    """Four of one view, which have one name, and four of others; one is painted at a time."""
    store = Store(besieged.folder / STORE_NAME)
    told = len(log_entries(store, kind="photo"))
    one = picture("JPEG", (4000, 3000), colour=(9, 9, 200))
    several_views = [picture("JPEG", (4000, 3000), colour=(n * 40, 99, 9)) for n in range(4)]
    before = besieged.forget_peak()
    with ThreadPoolExecutor(8) as several:
        sent = list(enumerate([one, *several_views, one, one, one]))
        answers = list(several.map(lambda given: besieged.send_photo(given[1], f"at-once-{given[0]:06}"), sent))

    assert [status for status, _ in answers] == [303] * 8
    assert len(log_entries(store, kind="photo")) - told == 8
    names = {entry.entry.body["file"] for entry in log_entries(store, kind="photo")}
    assert names == {path.name for path in (besieged.folder / "photos").iterdir()}
    assert besieged.peak_mb() - before < 90
    store.close()


def test_it_has_taken_no_harm(besieged: Besieged) -> None:
    """After all of it the process runs, answers, and has said nothing of a failure; a notice's link opens."""
    link = sign_link("", page_key(besieged.folder), 1, "Marit", Clock().now())

    assert besieged.process.poll() is None
    assert besieged.ask(f"GET {link}")[0] == 200
    said = (besieged.folder / "said").read_text()
    assert "Traceback" not in said
    assert "more connections than the page keeps open" in said
