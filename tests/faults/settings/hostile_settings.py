"""Hostile settings: what an editor, a hand in a hurry or a broken disk may leave in a farm folder, and a fuzzer of it.

    cd tests && python -m faults.settings.hostile_settings [SEED [COUNT]]      what was tried and the greatest cost

`EDITS` are single edits by name, each a function of the farm folder; `undo` takes back whatever one did. `fuzz` changes
every kind of settings file at random and reads it in this process.
"""

from __future__ import annotations

import os
import random
import shutil
import stat
import sys
import time
import tracemalloc
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from sentinel.flow.setup import read_setup

ROOT = Path(__file__).parents[3]

Edit = Callable[[Path], None]

BOMB = "a: &a [x, x, x, x, x, x, x, x, x]\n" + "".join(
    f"{chr(98 + n)}: &{chr(98 + n)} [{', '.join(['*' + chr(97 + n)] * 9)}]\n" for n in range(20)
)
"""Nine to the power of twenty values out of a thousand characters."""


def put(name: str, content: str | bytes) -> Edit:
    """The file of that name holds this instead."""

    def edit(farm: Path) -> None:
        content_bytes = content.encode() if isinstance(content, str) else content
        (farm / name).parent.mkdir(exist_ok=True)
        (farm / name).write_bytes(content_bytes)

    return edit


def changed(name: str, old: str, new: str) -> Edit:
    """In the file of that name some words are others."""

    def edit(farm: Path) -> None:
        text = (farm / name).read_text(encoding="utf-8")
        assert old in text, f"{name} has no {old!r}"
        (farm / name).write_text(text.replace(old, new), encoding="utf-8")

    return edit


def more(name: str, text: str) -> Edit:
    """The file of that name has some lines more."""

    def edit(farm: Path) -> None:
        with (farm / name).open("a", encoding="utf-8") as file:
            file.write(text)

    return edit


def _link(name: str, target: str) -> Edit:
    def edit(farm: Path) -> None:
        (farm / name).unlink(missing_ok=True)
        (farm / name).symlink_to(target)

    return edit


def _folder(name: str) -> Edit:
    def edit(farm: Path) -> None:
        (farm / name).unlink(missing_ok=True)
        (farm / name).mkdir()

    return edit


def _pipe(name: str) -> Edit:
    def edit(farm: Path) -> None:
        (farm / name).unlink(missing_ok=True)
        os.mkfifo(farm / name)

    return edit


def _gone(name: str) -> Edit:
    def edit(farm: Path) -> None:
        (farm / name).unlink()

    return edit


def _no_room(farm: Path) -> None:
    shutil.rmtree(farm / "rules")
    (farm / "rules").write_text("")


RULE = """
- rule: far-off
  measure: hours_since_milking
  raise_over: 14 h
  urgency: log
  say: "Cow {cow}"
"""

EDITS: Mapping[str, Edit] = {
    "a link of a rule to nothing": _link("rules/more.yaml", "/nonexistent/more.yaml"),
    "a link of a rule to itself": _link("rules/more.yaml", "more.yaml"),
    "a link of a rule to a device": _link("rules/more.yaml", "/dev/zero"),
    "a pipe named like a rule": _pipe("rules/more.yaml"),
    "a folder named like a rule": _folder("rules/more.yaml"),
    "a folder named farm.yaml": _folder("farm.yaml"),
    "a file in place of the rules' folder": _no_room,
    "farm.yaml gone": _gone("farm.yaml"),
    "farm.yaml empty": put("farm.yaml", ""),
    "a feed map in UTF-16": put("feeds/milkings.yaml", "feed: milkings\n".encode("utf-16")),
    "a rule in another encoding": put("rules/more.yaml", "# Kühe\n".encode("cp1252")),
    "half a character": put("people.yaml", b"- person: M\xc3"),
    "NULs": put("rules/more.yaml", b"\x00" * 4096),
    "a NUL in a name": changed("farm.yaml", "zone: UTC", 'inbox: "a\\0b"\nzone: UTC'),
    "half of a pair": changed("farm.yaml", "zone: UTC", 'inbox: "\\ud800"\nzone: UTC'),
    "deep brackets": put("rules/more.yaml", "[" * 100_000),
    "deep maps": put("rules/more.yaml", "".join(f"{' ' * n}a:\n" for n in range(1000))),
    "an explosion of aliases": put("rules/more.yaml", BOMB),
    "an alias within itself": put("rules/more.yaml", "&a [*a]"),
    "a tag": put("rules/more.yaml", "- !!python/object/apply:os.system ['true']\n"),
    "a merge": put("rules/more.yaml", "- &a {rule: x}\n- {<<: *a}\n"),
    "two documents": put("rules/more.yaml", "[]\n---\n[]\n"),
    "a key twice": put("rules/more.yaml", "- rule: a\n  rule: b\n"),
    "a list as a key": put("farm.yaml", "? [1, 2]\n: 3\n"),
    "five thousand digits": changed("farm.yaml", "zone: UTC", f"boxes: [{'9' * 5000}]\nzone: UTC"),
    "not a number": changed("farm.yaml", "zone: UTC", "page: {port: .nan}\nzone: UTC"),
    "five megabytes": put("rules/more.yaml", "# nothing\n" * 500_000),
    "a megabyte of one word": put("rules/more.yaml", "a" * 1_000_000),
    "a hundred thousand rules": put("rules/more.yaml", "- rule: a\n" * 90_000),
    "ten thousand wrong keys": put("rules/more.yaml", "- rule: a\n" + "".join(f"  a{n}: 1\n" for n in range(10_000))),
    "a bound of 10^26 h": more("rules/boxes.yaml", RULE.replace("14 h", "1" + "0" * 26 + " h")),
    "a bound of 400 digits": more("rules/boxes.yaml", RULE.replace("14 h", "9" * 400 + " h")),
    "a window of a million years": more(
        "rules/boxes.yaml",
        RULE.replace("hours_since_milking", "failed_attachments")
        .replace("14 h", "2 failures")
        .replace("{cow}", "")
        .replace("  urgency", "  per: box\n  options: {within: 365000000 d}\n  urgency"),
    ),
    "an example of 10^9 rows": more(
        "rules/boxes.yaml",
        RULE + "  examples:\n    - raises: cow:1\n      visits: |\n        cow  start\n"
        "        1    1000000000 times every 1 s, last 15 h ago\n",
    ),
    "a pattern that is no format": changed(
        "feeds/milkings.yaml", "feed: milkings", 'complete_until: {pattern: "%Y%Y_%"}\nfeed: milkings'
    ),
    "a part of a time twice": changed(
        "feeds/milkings.yaml", "feed: milkings", 'times: "%Y-%m-%d %H %H"\nfeed: milkings'
    ),
    "a format of ten thousand parts": changed(
        "feeds/milkings.yaml", "feed: milkings", f'times: "{"%d" * 5000}"\nfeed: milkings'
    ),
    "an encoding that is none": changed("feeds/milkings.yaml", "feed: milkings", "encoding: punycode\nfeed: milkings"),
    "a zone that is a folder": changed("farm.yaml", "zone: UTC", "zone: Europe"),
    "a host that no resolver takes": changed("farm.yaml", "zone: UTC", f"page: {{host: {'a' * 70}}}\nzone: UTC"),
    "an address that is none": changed("farm.yaml", "zone: UTC", 'page: {address: "http://["}\nzone: UTC'),
    "a look every moment": changed("farm.yaml", "look_every: 1 s", "look_every: 0 s"),
    "ceilings that are none": more(
        "people.yaml", f"- person: Bea\n  channels: [anna-phone]\n  at_most: {'9' * 5000} per hour\n"
    ),
    "secrets in another encoding": put("secrets.yaml", b"channels: {\xe4: x}"),
    "secrets as a folder": _folder("secrets.yaml"),
}
"""By name, what may be done to a folder so that its settings cannot be used."""

HARMLESS: Mapping[str, Edit] = {
    "an editor's lock": _link("rules/.#boxes.yaml", "somebody@elsewhere.1234:1700000000"),
    "a shadow file of another system": put("rules/._boxes.yaml", b"\x00\x05\x16\x07\x00\xff"),
    "a backup of an editor": put("rules/boxes.yaml~", b"\xff\xfe"),
}
"""What stands in a folder beside settings and is none: nothing is said of it."""


def kept(farm: Path) -> dict[Path, tuple[int, bytes]]:
    """Every settings file of a folder with its rights, for `undo`."""
    names = ("farm.yaml", "people.yaml", "secrets.yaml")
    paths = [farm / n for n in names] + [p for room in ("feeds", "rules") for p in (farm / room).iterdir()]
    return {p: (stat.S_IMODE(p.stat().st_mode), p.read_bytes()) for p in paths if p.is_file()}


def undo(farm: Path, before: Mapping[Path, tuple[int, bytes]]) -> None:
    """The settings as they were, whatever stands there now."""
    for room in ("feeds", "rules"):
        if not (farm / room).is_dir():
            (farm / room).unlink(missing_ok=True)
            (farm / room).mkdir()
    now = [farm / n for n in ("farm.yaml", "people.yaml", "secrets.yaml")]
    now += [p for room in ("feeds", "rules") for p in (farm / room).iterdir()]
    for path in now:
        if path.is_dir() and not path.is_symlink():
            shutil.rmtree(path)
        elif path.is_symlink() or (path.exists() and path not in before):
            path.unlink()
    for path, (mode, content) in before.items():
        if not path.exists() or path.read_bytes() != content:
            path.write_bytes(content)
        path.chmod(mode)


# --- the fuzzer ----------------------------------------------------------------------------------------------

PIECES = (
    "[", "]", "{", "}", "- ", ": ", "? ", "&a ", "*a", "!!x ", "!", "|\n", ">\n", "'", '"', "\\", "#", "\n", "\t", "  ",
    "---\n", "...\n", "%YAML 1.1\n", "\x00", "\ufeff", "\u2028", "\ud800", "~", "null", "true", ".inf", ".nan", "-1",
    "1e999", "0x", "9" * 500, "999999999999 h", "10000 d", "-5 min", "%", "%Y%Y", "(?:", "[z-a]", "*" * 300,
    "{cow}", "{x", "[[", "{a|b}", "Europe", "../../etc", "10000000 times every 1 s, last 1 h ago",
)  # fmt: skip
"""Words that some reader may stumble over."""


def mutated(text: str, chance: random.Random) -> str:
    """A text with one to six changes: cut, doubled, moved or replaced stretches, values and lines."""
    for _ in range(chance.randint(1, 6)):
        begin = chance.randrange(len(text) + 1)
        end = min(len(text), begin + int(chance.expovariate(1 / 12)))
        kind = chance.randrange(7)
        piece = chance.choice(PIECES)
        if kind == 0:
            text = text[:begin] + text[end:]
        elif kind == 1:
            text = text[:begin] + piece + text[begin:]
        elif kind == 2:
            text = text[:begin] + piece + text[end:]
        elif kind == 3:
            text = text[:begin] + text[begin:end] * chance.choice((2, 3, 50, 2000)) + text[end:]
        elif kind == 4:
            text = text[:begin]
        else:  # a whole value, or a whole line once more with another value
            lines = text.split("\n")
            n = chance.randrange(len(lines))
            key, colon, _ = lines[n].partition(": ")
            lines[n : n + (kind == 5)] = [f"{key}{colon}{piece}" if colon else piece]
            text = "\n".join(lines)
    return text


@dataclass(frozen=True, slots=True)
class Fuzzed:
    """How many settings were read, how many of them were taken, and what the costliest took."""

    tried: int
    taken: int
    longest_s: float
    most_mb: float


def settings_of(folder: Path) -> dict[str, str]:
    """A farm's settings for the fuzzer: a farm folder's own, the rules that ship and people."""
    texts = {"farm.yaml": (folder / "farm.yaml").read_text("utf-8")}
    texts |= {f"feeds/{p.name}": p.read_text("utf-8") for p in sorted((folder / "feeds").glob("*.yaml"))}
    texts |= {f"rules/{p.name}": p.read_text("utf-8") for p in sorted((ROOT / "rules").glob("*.yaml"))}
    texts["people.yaml"] = (
        "- person: Marit\n  channels: [marit-phone]\n"
        '  hours: {now: always, round: "Mo-Fr 05:00-22:00, Sa-Su 06:00-20:00"}\n'
        "  next_after: 20 min\n  at_most: 6 per hour\n  worklist: yes\n"
    )
    return texts


def fuzz(seed: int, count: int) -> Fuzzed:
    """Read so many changed settings; an exception out of it is a fault and goes on to whoever called."""
    chance = random.Random(seed)
    whole = settings_of(ROOT / "demo_feeds")
    taken, longest, most = 0, 0.0, 0.0
    tracemalloc.start()
    try:
        for _ in range(count):
            name = chance.choice(sorted(whole))
            texts = {n: t for n, t in whole.items() if n == "farm.yaml"}  # others only where they are changed: faster
            texts[name] = mutated(whole[name], chance)
            tracemalloc.reset_peak()
            before, begun = tracemalloc.get_traced_memory()[0], time.perf_counter()
            try:
                setup, problems = read_setup(texts)
            except BaseException:
                sys.stderr.write(f"{name} changed to:\n{texts[name][:20_000]!r}\n")
                raise
            longest = max(longest, time.perf_counter() - begun)
            most = max(most, (tracemalloc.get_traced_memory()[1] - before) / 1e6)
            assert (setup is None) == bool(problems)
            taken += setup is not None
    finally:
        tracemalloc.stop()
    return Fuzzed(count, taken, longest, most)


if __name__ == "__main__":
    done = fuzz(*(int(word) for word in [*sys.argv[1:], "1", "2000"][:2]))
    sys.stdout.write(
        f"{done.tried} changed settings read, {done.taken} of them taken; "
        f"at most {done.longest_s:.2f} s and {done.most_mb:.1f} MB\n"
    )
