"""Five hundred cows fail in one export, five hundred more an hour later, and then all of it ends at once.

    cd tests && python -m faults --minutes 1 storm

A real `sentinel run` on a fast clock, a person who takes at most six pushes an hour, and the page beside it.
"""

from __future__ import annotations

import re
import urllib.request
from collections import Counter
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from faults.faced import Faced, most_memory_mb
from faults.fast_clock import FastClock, drop, running_fast
from faults.real_farm import CLOCK, PEOPLE, expect, make_farm, until

from sentinel.demo.phone import Message, Phone
from sentinel.edges.settings import STORE_NAME, page_key
from sentinel.edges.store import Store
from sentinel.edges.store.alerts import all_alerts
from sentinel.edges.store.log import log_entries
from sentinel.edges.store.outbox import all_notices
from sentinel.edges.web.auth.guard import cookie_name
from sentinel.edges.web.auth.links import new_session, sign_session
from sentinel.flow.model import HOUR_S
from sentinel.flow.notices.history import TELLING
from sentinel.flow.notices.plan import PUSHES

AT_MOST = 6
LIST_S = 5.0
"""The page's list of all that stands must open so soon: our choice, for a phone in the yard."""


@dataclass(frozen=True, slots=True)
class Storm:
    """What came of it. `raised`, `ended`, `told`: per cow how often, in the store and its log, and by notices.

    `first_s`: real seconds from each closed export to its first push; `list_s` and `list_kb`: of the page's list while
    all of them stand; `most_an_hour`: pushes in any hour of the farm's clock; `lengths`: characters of the texts.
    """

    cows: int
    raised: Counter[str]
    ended: Counter[str]
    told: Counter[int]
    alerts: int
    first_s: tuple[float, ...]
    ended_s: float
    list_s: float
    list_kb: float
    most_an_hour: int
    messages: tuple[Message, ...]
    lengths: tuple[int, ...]
    memory_mb: float

    @property
    def lost(self) -> int:
        """Alerts not in the log, not ended in it, or named by no notice."""
        return 3 * self.cows - len(self.raised) - len(self.ended) - len(self.told)

    @property
    def doubled(self) -> int:
        """Alerts there more than once in any of these, and pushes that came again."""
        again = Counter(one.notice for one in self.messages)
        counts = (*self.raised.values(), *self.ended.values(), *self.told.values(), *again.values())
        return sum(n - 1 for n in counts) + self.alerts - self.cows

    def faced(self, fault: str) -> Faced:
        """As a line of the table; recovered: from the export that ends all to the push that says so."""
        return Faced(fault, self.cows, self.lost, self.doubled, self.ended_s, self.memory_mb)


def live_through(folder: Path, cows: int = 500, factor: float = 60.0) -> Storm:
    """All of them fail at once, as many others an hour later, a round comes, and all of it ends."""
    clock = FastClock.started(factor)
    folder.mkdir(parents=True)
    round_at = datetime.fromtimestamp(clock.now() + 2.5 * HOUR_S, UTC)
    with Phone() as phone:
        people = PEOPLE.replace("1000 per hour", f"{AT_MOST} per hour") + "  worklist: yes\n"
        farm = make_farm(folder / "farm", {"phone": phone.url}, "", people)
        text = (farm / "farm.yaml").read_text(encoding="utf-8")
        (farm / "farm.yaml").write_text(text.replace("rounds: []", f'rounds: ["{round_at:%H:%M}"]'), encoding="utf-8")
        with running_fast(farm, folder / "run.log", clock) as process:
            begun = clock.now()
            rows: list[tuple[str, float, str]] = []
            first_s = []
            for wave in range(2):
                until(lambda wave=wave: clock.now() >= begun + wave * HOUR_S, HOUR_S)  # type: ignore[misc]
                rows += [(str(wave * cows + n + 1), clock.now() - 60, "failed") for n in range(cows)]
                first_s.append(_seconds(phone, farm / "exports", f"wave{wave}", rows[-cows:], clock))
                expect(lambda wave=wave: len(_told(farm)) >= (wave + 1) * cows, 90, "not all were told")  # type: ignore[misc]
            list_s, list_kb = _list(farm, folder / "run.log", clock)
            expect(lambda: any("to do" in one.title for one in phone.messages), 300, "no list came")
            until(lambda: clock.now() >= begun + 3 * HOUR_S, HOUR_S)
            mended = [(cow, start, "milked") for cow, start, _ in rows]
            ended_s = _seconds(phone, farm / "exports", "mended", mended, clock)
            expect(lambda: any(one.title.startswith("Over: ") for one in phone.messages), 60, "no end was told")
            until(lambda: False, 3)  # what comes twice comes later
            memory_mb = most_memory_mb(process.pid)
        with closing(Store(farm / STORE_NAME)) as store:
            store.verify()
            pushed = sorted(one.at for one in all_notices(store) if one.kind in PUSHES)
            return Storm(
                2 * cows,
                Counter(one.entry.subject for one in log_entries(store, kind="raised")),
                Counter(one.entry.subject for one in log_entries(store, kind="over")),
                Counter(_told(farm)),
                len(all_alerts(store)),
                tuple(first_s),
                ended_s,
                list_s,
                list_kb,
                max(sum(at - HOUR_S < one <= at for one in pushed) for at in pushed),
                tuple(phone.messages),
                tuple(len(one.body) for one in phone.messages),
                memory_mb,
            )


def _seconds(phone: Phone, exports: Path, name: str, rows: list[tuple[str, float, str]], clock: FastClock) -> float:
    """Drop an export; real seconds until the next push."""
    before, begun = len(phone.messages), CLOCK.steady()
    drop(exports, name, rows, clock.now())
    expect(lambda: len(phone.messages) > before, 90, f"nothing came of {name}")
    return CLOCK.steady() - begun


def _told(farm: Path) -> list[int]:
    """The alerts that notices name, each as often as it is named."""
    with closing(Store(farm / STORE_NAME)) as store:
        return [alert for one in all_notices(store) if one.kind in TELLING for alert in one.alerts]


def _list(farm: Path, log: Path, clock: FastClock) -> tuple[float, float]:
    """Open the page's list; seconds it took, and kilobytes."""
    found = re.search(r"listens on (http://\S+)", log.read_text(encoding="utf-8"))
    assert found is not None
    session = sign_session(new_session("Marit", 0, int(clock.now())), page_key(farm))
    request = urllib.request.Request(f"{found[1]}/", headers={"Cookie": f"{cookie_name(False)}={session}"})
    begun = CLOCK.steady()
    with urllib.request.urlopen(request, timeout=60) as answer:
        content = answer.read()
    assert content.count(b"Cow ") >= 1
    return CLOCK.steady() - begun, len(content) / 1000
