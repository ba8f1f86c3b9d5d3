"""A real `sentinel run` on a story's clock: it goes from one thing that happens to the next as fast as it is read.

The process is `sentinel` as anybody starts it, but for two things: its clock shows what the story says, and each step
of the story asks it for a look and waits for it, instead of letting real seconds go by. Everything else is real: files,
watching them, the database, sending, the page, and the short waits that are meant in real seconds (a file that is still
written, a try that failed).

Steps come as lines of JSON on its standard input and are answered on its standard output, one line each.
"""

from __future__ import annotations

import json
import os
import queue
import runpy
import subprocess
import sys
import threading
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any, BinaryIO

from faults.faced import most_memory_mb
from faults.real_farm import CLOCK

import sentinel.edges.clock
from sentinel.edges.clock import Clock
from sentinel.edges.store.outbox import deliveries_due
from sentinel.runtime.service import Service

TESTS = Path(__file__).resolve().parents[2]
SENT_WITHIN_S, LOOKS_WITHIN_S = 20.0, 60.0

Moves = Sequence[tuple[str, str]]
"""Files that get their names: from where, to where, on one disk."""


class StoryProcess:
    """The process, seen from outside; `at` is the story's moment and outlives the processes."""

    def __init__(self, folder: Path, log: Path, at: int) -> None:
        self.folder = folder
        self.at = at
        self.due: int | None = None
        self.memory_mb = 0.0
        self.starts = 0
        self._log = log
        self._process: subprocess.Popen[bytes] | None = None
        self._answers: queue.Queue[dict[str, Any] | None] = queue.Queue()

    def start(self) -> None:
        """Start it, and wait for its first look; RuntimeError if it does not come to it."""
        path = os.pathsep.join([str(TESTS.parent), str(TESTS)])
        with self._log.open("ab") as said:
            self._process = subprocess.Popen(
                [sys.executable, "-m", "faults.days.story_process", str(self.at), "run", str(self.folder)],
                env={**os.environ, "PYTHONPATH": path},
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                stderr=said,
            )
        self.starts += 1
        self._answers = queue.Queue()
        threading.Thread(target=_listen, args=(self._process, self._answers), daemon=True).start()
        self.step()

    @property
    def pid(self) -> int:
        """The process's number."""
        assert self._process is not None
        return self._process.pid

    def ask(self, at: int | None = None, moves: Moves = (), wrong_s: int = 0) -> None:
        """Let the story go on to a moment at which files get their names; ask for a look. The wall clock may be off."""
        assert self._process is not None
        assert self._process.stdin is not None
        self.at = max(self.at, at or 0)
        self._process.stdin.write(json.dumps({"at": self.at, "wrong_s": wrong_s, "moves": moves}).encode() + b"\n")
        self._process.stdin.flush()

    def step(self, at: int | None = None, moves: Moves = (), wrong_s: int = 0) -> bool:
        """Go on as `ask` and wait until the look has been made and what it led to is sent; whether it succeeded."""
        self.ask(at, moves, wrong_s)
        return self.looked()

    def looked(self) -> bool:
        """Wait for the look that was asked for; whether it succeeded."""
        try:
            answer = self._answers.get(timeout=LOOKS_WITHIN_S)
        except queue.Empty:
            answer = None
        if answer is None:
            raise RuntimeError(f"the process ended or does not look: {self._log.read_text()[-3000:]}")
        self.at, self.due = max(self.at, answer["at"]), answer["due"]
        self.memory_mb = max(self.memory_mb, most_memory_mb(self.pid))
        return bool(answer["well"])

    def kill(self) -> None:
        """End it at once; nothing happens if it has ended."""
        if self._process is None or self._process.poll() is not None:
            return
        assert self._process.stdin is not None
        self.memory_mb = max(self.memory_mb, most_memory_mb(self.pid))
        self._process.kill()
        self._process.wait(10)
        with suppress(BrokenPipeError):
            self._process.stdin.close()

    def stop(self) -> None:
        """End it as a service manager does; RuntimeError if it ends badly."""
        assert self._process is not None
        assert self._process.stdin is not None
        self.memory_mb = max(self.memory_mb, most_memory_mb(self.pid))
        self._process.stdin.close()
        self._process.terminate()
        if self._process.wait(60):
            raise RuntimeError(f"it ended badly: {self._log.read_text()[-3000:]}")


def _listen(process: subprocess.Popen[bytes], answers: queue.Queue[dict[str, Any] | None]) -> None:
    assert process.stdout is not None
    with process.stdout:
        for line in process.stdout:
            if line.startswith(b"{"):  # the rest is what `run` says to whoever started it
                answers.put(json.loads(line))
    answers.put(None)


# --- in the process -------------------------------------------------------------------------------------------


class Story:
    """Where the story is: seconds that never go back, and how far the wall clock stands off."""

    def __init__(self, at: int) -> None:
        self.at = float(at)
        self.wrong_s = 0
        self._lock = threading.Lock()

    def go(self, at: float, wrong_s: int | None = None) -> None:
        """It goes on to a moment."""
        with self._lock:
            self.at = max(self.at, at)
            self.wrong_s = self.wrong_s if wrong_s is None else wrong_s


class StoryClock(Clock):
    """The program's clock on the story's time; what is waited for by the clock comes at once."""

    story: Story

    def _wall(self) -> float:
        return self.story.at + self.story.wrong_s

    def _run(self) -> float:
        return self.story.at

    def wait(self, event: threading.Event, until: float | None) -> bool:
        """The story goes on to `until` at once."""
        if until is None:
            return event.wait()
        if event.is_set():
            return True
        self.story.go(self.story.at + until - self._now())
        return False


def _led(service: Service, story: Story, out: BinaryIO) -> None:
    """Take the story's steps from outside, one after another, and answer each."""
    for line in sys.stdin.buffer:
        step = json.loads(line)
        with service.before_a_look():
            story.go(step["at"], step["wrong_s"])
            for before, after in step["moves"]:
                os.replace(before, after)
        well = service.monitor.failing_since is None
        if well and not step["wrong_s"]:
            until = CLOCK.steady() + SENT_WITHIN_S
            while deliveries_due(service.store, service.clock.now()) and CLOCK.steady() < until:
                threading.Event().wait(0.005)
        answer = {"at": int(story.at), "due": service.due, "well": well}
        out.write(b"\n" + json.dumps(answer).encode() + b"\n")
        out.flush()


def be_sentinel(at: int, arguments: list[str]) -> None:
    """Become `sentinel` with these arguments, on the story's clock and led from outside."""
    StoryClock.story = Story(at)
    sentinel.edges.clock.Clock = StoryClock  # type: ignore[misc]  (before any module has taken the name)
    run, out = Service.run, sys.stdout.buffer  # what a reader prints must not come between

    def led(self: Service, *given: Any) -> None:
        threading.Thread(target=_led, args=(self, StoryClock.story, out), daemon=True).start()
        run(self, *given)

    Service.run = led  # type: ignore[method-assign]
    sys.argv = ["sentinel", *arguments]
    runpy.run_module("sentinel", run_name="__main__", alter_sys=True)


if __name__ == "__main__":
    be_sentinel(int(sys.argv[1]), sys.argv[2:])
