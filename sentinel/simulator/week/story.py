"""The week told from its own rows: every planted thing with its figures, and every late cow."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Any

from sentinel.flow.model import HOUR_S
from sentinel.simulator.boxes.routine import Event
from sentinel.simulator.exports.arrivals import DELAY_S, File, Mistyped, box_log_name, csv_name
from sentinel.simulator.exports.record import Record
from sentinel.simulator.exports.visit_list import COLUMNS, ENCODING
from sentinel.simulator.local_time import rfc3339
from sentinel.simulator.truth.items import Item, late_items, late_spells
from sentinel.simulator.week.herd import Herd
from sentinel.simulator.week.script import Script


def tell(
    script: Script,
    herd: Herd,
    made: Sequence[Record],
    events: Sequence[Event],
    dried: Mapping[str, int],
    slip: Mistyped,
    files: Sequence[File],
) -> list[Item]:
    """Everything true of the week, in order of its beginning."""
    spells = late_spells(made, herd, dried, script.begin, script.until)
    roles = script.roles
    items = [
        *_machines(script, made, events),
        *_cows(script, made, dried),
        *_exports(script, slip, files),
        *late_items(spells, roles.out, {roles.fails}),
    ]
    return sorted(items, key=lambda item: (item.start, item.kind, item.subject))


def _machines(script: Script, made: Sequence[Record], events: Sequence[Event]) -> list[Item]:
    """The arm out of line and the forgotten filter."""
    arm, forgotten = script.faults.arm[0], script.faults.filters[0]
    seen = [r for r in made if r.box == arm.box and arm.start <= r.start < arm.until and r.outcome != "refused"]
    failed = sum(r.outcome == "failed" for r in seen)
    changes = [e.at for e in events if e.box == forgotten.box and e.event == "filter_changed"]
    last = max(at for at in changes if at < forgotten.start)
    following = min(at for at in changes if at > forgotten.start)
    milked = [r for r in made if r.box == forgotten.box and last < r.start < following and r.milk_kg > 0]
    return [
        Item(
            "arm-out-of-line",
            f"box:{arm.box}",
            arm.start,
            arm.until,
            ("box-failures", "arm-offset", "slow-attach"),
            "Go to the box: take it out of operation, follow its manual to check where the arm rests, and note it.",
            {"axis": arm.axis, "shift_mm": arm.shift_mm, "visits": len(seen), "failed": failed},
        ),
        Item(
            "filter-forgotten",
            f"box:{forgotten.box}",
            forgotten.start,
            following,
            ("filter-overdue",),
            "Put in a new filter at the next round and note it.",
            {
                "last_changed": rfc3339(last),
                "hours": round((following - last) / HOUR_S, 2),
                "milkings": len(milked),
            },
        ),
    ]


def _cows(script: Script, made: Sequence[Record], dried: Mapping[str, int]) -> list[Item]:
    """The climbing quarter, the cow that fails everywhere, and the cows that should stay quiet."""
    climb, fails, roles = script.faults.climbs[0], script.faults.fails[0], script.roles
    failed = Counter(
        r.box for r in made if r.cow == fails.cow and fails.start <= r.start < fails.until and r.outcome == "failed"
    )
    once = [r.start for r in made if r.cow == roles.once_a_day and r.outcome == "milked"]
    longest = max(b - a for a, b in pairwise(once) if b >= script.begin)
    withheld = script.faults.withheld[0]
    return [
        Item(
            "conductivity-climb",
            f"quarter:{climb.cow}/{climb.quarter}",
            climb.start,
            min(climb.until, script.until),
            ("quarter-conductivity",),
            "Look at the quarter and its first milk at the next round; ask the vet what to do, keep withdrawal times.",
            {
                "rise_pct": round(100 * climb.rise),
                "full_at": rfc3339(climb.peak),
                "withheld_at": rfc3339(withheld.start),
            },
        ),
        Item(
            "cow-fails-everywhere",
            f"cow:{fails.cow}",
            fails.start,
            fails.until,
            ("cow-failures",),
            "Look at her udder and how she stands in the box; no box is at fault.",
            {"failed_by_box": dict(sorted(failed.items()))},
        ),
        Item(
            "once-a-day",
            f"cow:{roles.once_a_day}",
            script.begin,
            script.until,
            (),
            "Nothing: she is allowed one milking a day.",
            {"longest_hours": round(longest / HOUR_S, 2)},
        ),
        Item(
            "dried-off",
            f"cow:{roles.dries}",
            dried[roles.dries],
            None,
            (),
            "Nothing: she is dry, and the herd list says so before she could be late.",
        ),
    ]


def _exports(script: Script, slip: Mistyped, files: Sequence[File]) -> list[Item]:
    """The export that stopped, the file cut in half, the unreadable rows, and the corrected one."""
    local, silence = script.local, script.silence
    back = silence.last + HOUR_S
    missing = [csv_name(at, local) for at in range(silence.first, silence.last + 1, HOUR_S)]
    by_name = {f.name: f for f in files}
    cut, spoilt = by_name[box_log_name(script.cut_at, local)], by_name[csv_name(script.spoil_at, local)]
    after_cut = by_name[box_log_name(script.cut_at + HOUR_S, local)]
    rows = spoilt.content.decode(ENCODING).split("\r\n")[:-1]
    bad = [n for n, row in enumerate(rows, start=1) if n > 1 and not _readable(row)]
    sent = [f for f in files if f.name.startswith("visits_") and _has_visit(f, slip)]
    right = json.loads(sent[1].content)["member"]
    kg = next(m["milkingMilkWeight"]["value"] for m in right if _is_visit(m, slip))
    return [
        Item(
            "export-stopped",
            "feed:milkings",
            silence.first + DELAY_S,
            back + DELAY_S,
            ("feed-quiet",),
            "See why the herd computer writes no export; no cow is late because of it.",
            {"missing": missing, "all_in": csv_name(back, local)},
        ),
        Item(
            "file-cut",
            f"file:boxlog/{cut.name}",
            cut.arrives_at,
            after_cut.arrives_at,
            ("rows-set-aside", "feed-quiet"),
            "Nothing at the boxes: the next file holds the same entries. If it comes again, see to the export.",
            {"feed": "feed:boxlog", "feed_known_until": rfc3339(script.cut_at - HOUR_S)},
        ),
        Item(
            "rows-unreadable",
            f"file:milkings/{spoilt.name}",
            spoilt.arrives_at,
            spoilt.arrives_at + HOUR_S,
            ("rows-set-aside",),
            "Nothing at the boxes: the next file holds the rows whole.",
            {"lines": bad},
        ),
        Item(
            "row-corrected",
            f"cow:{slip.cow}",
            sent[0].arrives_at,
            sent[1].arrives_at,
            (),
            "Nothing: the correction replaces the first figure and is kept in the log.",
            {
                "start": rfc3339(slip.start),
                "first_kg": slip.wrong_kg,
                "corrected_kg": kg,
                "first_in": sent[0].name,
                "corrected_in": sent[1].name,
            },
        ),
    ]


def _readable(row: str) -> bool:
    """Whether a row of the visit list is whole: all its cells, a day that exists, numbers that are numbers."""
    cells = row.split(";")
    return len(cells) == len(COLUMNS) and int(cells[0][:2]) <= 31 and not cells[8].endswith("x")


def _is_visit(item: Mapping[str, Any], slip: Mistyped) -> bool:
    """Whether an ICAR item is the mistyped visit."""
    return (item["animal"]["id"], item["milkingStartingDateTime"]) == (slip.cow, rfc3339(slip.start))


def _has_visit(file: File, slip: Mistyped) -> bool:
    """Whether a collection holds the mistyped visit."""
    return any(_is_visit(item, slip) for item in json.loads(file.content)["member"])
