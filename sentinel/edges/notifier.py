"""Sends notices to people's channels through Apprise, and says how each one ended. Never raises, never leaks.

One Apprise object per message and channel (its objects make later messages of the same object wait), one address
per channel, redirects refused (Apprise would follow one, lose the message and call it sent).

Apprise's own time limit hands the work to one small pool shared by all channels, where calls that hang stay after
they were given up; a few of them and nothing is sent to anybody. So each channel has a line of its own here: one
message at a time, in order, on a thread that can be given up without holding anybody else up.

Addresses are secrets: a failure is reported in a few known words only (`services`).
"""

from __future__ import annotations

import json
import logging
import queue
import shlex
import sys
import threading
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Any, Literal
from urllib.parse import urlencode

from sentinel.edges.replies import given_up
from sentinel.edges.services import lacking, load, reason_among, schema_of, why_not
from sentinel.flow.reasons import Reason

State = Literal["delivered", "failed", "unknown"]

_logger = logging.getLogger(__name__)

BACKOFF_S = (5, 15, 60, 300, 900)
"""Seconds to wait after the first, second, ... try that did not deliver; the last one from then on."""

_PRIORITY = ("ntfy", "ntfys", "pover", "gotify", "gotifys")
"""Schemas whose `priority=high` makes the phone ring louder."""

_CLICK = ("ntfy", "ntfys", "bark", "barks")
"""Schemas that open a link when the message itself is tapped (`click=`)."""

_BUTTONS = ("ntfy", "ntfys")
"""Schemas whose messages can have buttons that send a form by themselves (`actions=`, as JSON)."""


@dataclass(frozen=True, slots=True)
class Message:
    """One notice for one channel of one person; `attempt` counts from 1. `link` opens the page for an answer.

    `answers`: those most likely, as they are kept and as they are said; they become buttons where the channel has them.
    """

    notice: str
    channel: str
    person: str
    title: str
    body: str
    urgency: str
    link: str = ""
    attempt: int = 1
    answers: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True)
class Outcome:
    """How one try ended.

    `unknown`: the channel did not answer in time, and the message may still arrive; it is tried again under the
    same notice id. `detail` never holds an address or a secret.
    """

    notice: str
    channel: str
    state: State
    detail: Reason


class _Line:
    """What is under way on one channel: its messages in order, and the try that was given up but still hangs."""

    def __init__(self) -> None:
        self.messages: queue.SimpleQueue[tuple[Message, Callable[[Outcome], None]] | None] = queue.SimpleQueue()
        self.one_at_a_time = threading.Lock()
        self.hanging: threading.Thread | None = None
        self.worker: threading.Thread | None = None


class Notifier:
    """Delivers messages; `urls` maps a channel's name to its Apprise URL, `timeout_s` is how long one try may take.

    A channel that hangs holds up only its own messages: each of its tries ends after `timeout_s` (`unknown`); while
    an earlier one is still hanging no further one is begun (`failed`), so threads do not pile up.
    """

    def __init__(self, urls: Mapping[str, str], timeout_s: float = 10.0) -> None:
        self._urls = dict(urls)
        self._timeout_s = timeout_s
        self._lines: dict[str, _Line] = {}
        self._under_way: set[tuple[str, str]] = set()
        self._changed = threading.Condition()

    def get_ready(self) -> None:
        """Load what sending needs, if there is anybody to send to, so that the first message need not wait for it."""
        if self._urls:
            try:
                load()
            except Exception:  # told again, by what becomes of it, with the first message
                _logger.exception("what sending needs could not be loaded")

    def send(self, message: Message) -> Outcome:
        """Try once to deliver a message and wait for how it ends, at most about twice `timeout_s`."""
        url = self._urls.get(message.channel)
        if not url:
            return Outcome(message.notice, message.channel, "failed", Reason("address-missing"))
        line = self._line(message.channel)
        with line.one_at_a_time:
            if line.hanging is not None:
                line.hanging.join(self._timeout_s)
                if line.hanging.is_alive():
                    return Outcome(message.notice, message.channel, "failed", Reason("earlier-hangs"))
            load()
            ended: list[tuple[State, Reason]] = []
            over = threading.Event()
            attempt = threading.Thread(
                target=lambda: ended.append(_try(url, message, over)), daemon=True, name="message"
            )
            attempt.start()
            attempt.join(self._timeout_s)
            over.set()
            line.hanging = attempt if attempt.is_alive() else None
        late: tuple[State, Reason] = ("unknown", Reason("no-answer-within", n=f"{self._timeout_s:g}"))
        return Outcome(message.notice, message.channel, *(ended[0] if ended else late))

    def send_all(self, messages: Iterable[Message], done: Callable[[Outcome], None]) -> None:
        """Put messages in their channels' lines and return; `done` is told each outcome, from the line's thread.

        Messages of one channel go out one after the other in the order given. A message whose notice is already in
        line for its channel is passed over.
        """
        for message in messages:
            with self._changed:
                if (message.notice, message.channel) in self._under_way:
                    continue
                self._under_way.add((message.notice, message.channel))
            line = self._line(message.channel)
            line.messages.put((message, done))

    def finish(self, timeout_s: float) -> bool:
        """Wait until every message in line has its outcome; False if some have not after `timeout_s`."""
        with self._changed:
            return self._changed.wait_for(lambda: not self._under_way, timeout_s)

    def close(self) -> None:
        """Let the lines end once what is in them is done; nothing waits for it."""
        with self._changed:
            lines, self._lines = list(self._lines.values()), {}
        for line in lines:
            line.messages.put(None)

    def _line(self, channel: str) -> _Line:
        """The channel's line, with its worker running."""
        with self._changed:
            line = self._lines.get(channel)
            if line is None:
                line = self._lines[channel] = _Line()
                line.worker = threading.Thread(target=self._work, args=(line,), daemon=True, name=f"channel {channel}")
                line.worker.start()
            return line

    def _work(self, line: _Line) -> None:
        """Send one channel's messages until it is closed."""
        while (item := line.messages.get()) is not None:
            message, done = item
            try:
                outcome = self.send(message)
            except Exception as error:  # a fault of ours must not end the line
                outcome = Outcome(
                    message.notice, message.channel, "failed", Reason("sending-failed", kind=type(error).__name__)
                )
            try:
                done(outcome)
            except Exception:
                _logger.exception("the outcome of notice %s could not be noted", message.notice)
            with self._changed:
                self._under_way.discard((message.notice, message.channel))
                self._changed.notify_all()


def backoff_s(attempt: int) -> int:
    """Seconds to wait after the given try (from 1) before the next.

    No random part: there is one sender, so no crowd of senders would come back at the same moment, and a replay
    gives the same times.

    >>> [backoff_s(attempt) for attempt in (1, 2, 3, 4, 5, 6, 100)]
    [5, 15, 60, 300, 900, 900, 900]
    """
    return BACKOFF_S[min(max(attempt, 1), len(BACKOFF_S)) - 1]


def check(urls: Mapping[str, str]) -> list[str]:
    """What is wrong with each channel's address, in words that do not show it; empty if nothing is."""
    load()
    from apprise import Apprise  # noqa: PLC0415

    problems = []
    for channel, url in urls.items():
        service = _service(url, Message("", channel, "", "", "", ""))
        if service is None:
            packages = lacking(url)
            hint = "" if packages == [] else " (expected an Apprise URL such as ntfys://...)"
            if packages:
                hint = f" ({sys.executable} -m pip install {shlex.join(packages)})"
            problems.append(f"{channel}: {why_not(packages)}{hint}")
        elif len(service) > 1 or not (alone := Apprise()).add(url) or len(alone) > 1:
            problems.append(
                f"{channel}: its address names several receivers; give each a channel of its own, "
                "or one that fails makes all of them get the message again"
            )
    return problems


def _service(url: str, message: Message) -> Any:
    """The Apprise service of a URL, set up for this message; None if the URL cannot be understood.

    What a service is to be like for this message goes in where an address would say it: in the parts that its own
    class reads out of the URL. Only that class knows them, so the service is made twice.
    """
    from apprise import Apprise, AppriseAsset  # noqa: PLC0415

    asset = AppriseAsset(
        app_id="sentinel",
        app_desc="sentinel",
        app_url="",
        image_url_mask="",
        http_redirects=False,
        service_timeout=0,
    )
    try:
        service: Any = Apprise.instantiate(url, asset=asset)
        if service is None:
            return None
        parts = _parts(service, url)
        schema = parts["schema"]
        parts["redirect"] = False
        parts["retry"] = 0  # the outbox tries again, and counts it
        parts.setdefault("overflow", "split")  # a long worklist comes in parts instead of being refused
        if message.urgency == "now" and schema in _PRIORITY:
            parts.setdefault("priority", "high")
        if message.link and schema in _CLICK:
            parts.setdefault("click", message.link)
        if message.link and message.answers and schema in _BUTTONS:
            parts.setdefault("actions", _buttons(message))
        service = Apprise.instantiate(parts, asset=asset)
    except Exception:  # a URL that a service's own parser trips over is one that cannot be understood
        return None
    if service is not None:
        service.request_rate_per_sec = 0  # parts of one long message would wait 5 s for each other
    return service


def _parts(service: Any, url: str) -> dict[str, Any]:
    """What a service's class reads out of its URL: one of its own schema, or the web address that its makers give."""
    own = schema_of(url) in service.schemas()
    read = service.parse_url if own else service.parse_native_url
    return dict(read(url.replace("/#", "/%23")))  # the name of a channel may begin so, as Apprise has it


def _buttons(message: Message) -> str:
    """A button for each answer: it sends the form that the page behind the link has, and takes the message away."""
    kind = {"Content-Type": "application/x-www-form-urlencoded"}
    buttons = [
        {
            "action": "http",
            "label": label[:1].upper() + label[1:],
            "url": message.link,
            "method": "POST",
            "headers": kind,
            "body": urlencode({"finding": answer}),
            "clear": True,
        }
        for answer, label in message.answers
    ]
    return json.dumps(buttons)


def _try(url: str, message: Message, over: threading.Event) -> tuple[State, Reason]:
    """Send one message now, in this thread; no reply is read any further once `over` is set."""
    from apprise import Apprise, NotifyFormat, NotifyType  # noqa: PLC0415

    given_up.set(over)
    try:
        service = _service(url, message)
        if service is None:
            return "failed", why_not(lacking(url))
        sender = Apprise(asset=service.asset)
        sender.add(service)
        result = sender.notify(
            title=message.title,
            body="\n".join(filter(None, [message.body, message.link, f"#{message.notice}"])),
            notify_type=NotifyType.WARNING if message.urgency == "now" else NotifyType.INFO,
            body_format=NotifyFormat.TEXT,
            timeout=0,
        )
        return _outcome(result)
    except Exception as error:
        return "failed", Reason("sending-failed", kind=type(error).__name__)


def _outcome(result: Any) -> tuple[State, Reason]:
    """An Apprise result in our words; only its tries count, since a result can be called a success without one."""
    from apprise import AppriseResultStatus as Status  # noqa: PLC0415

    attempts = [attempt for service in result.results for attempt in service.attempts]
    if any(attempt.status == Status.SUCCESS for attempt in attempts):
        return "delivered", Reason("taken")
    if any(attempt.status == Status.TIMEOUT for attempt in attempts):
        return "unknown", Reason("no-answer")
    return "failed", reason_among(entry.message for attempt in attempts for entry in attempt.logs)
