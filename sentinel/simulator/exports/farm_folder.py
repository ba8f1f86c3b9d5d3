"""A simulated farm as a folder: its exports, when each appeared, the maps that read them, and the truth."""

from __future__ import annotations

import os
from collections.abc import Iterator, Mapping
from importlib.resources import files as package_files
from pathlib import Path

from sentinel.flow.model import HOUR_S
from sentinel.simulator.exports.files import Dialect, export_files
from sentinel.simulator.exports.mistyped import icar_box
from sentinel.simulator.local_time import rfc3339
from sentinel.simulator.plans.exports import ExportPlan
from sentinel.simulator.simulated import Simulated
from sentinel.simulator.truth.items import truth_text

FEEDS = ("milkings", "boxlog", "herd", "tank", "recording")
SPLIT = ("visits", "quarters", "boxlog", "herd", "tank", "recording")
OF_VISITS = ("milkings", "visits", "quarters")
CHORES = """\
chores:
  filter: {places: boxes, event: filter_changed}
  wash:   {places: boxes, event: washed}
  optics: {places: boxes, event: optics_cleaned}
  arm:    {places: boxes, event: arm_calibrated}
"""
MAPS = {
    "milkings": "# Visits to all boxes but the last (or to the only one), every hour;"
    " each file also holds the hour before.",
    "boxlog": "# What the boxes wrote about themselves, every hour; each file holds the last six.",
}


def farm_texts(herd: Simulated, split: bool = False, dialect: Dialect = "mixed") -> Mapping[str, str]:
    """`farm.yaml` and the maps that read the exports, whole or split; exports in ICAR ADE alone need none."""
    spec, exports = herd.spec, herd.exports
    split = split or exports.split
    boxes = ", ".join(f'"{name}"' for name in spec.box_names)
    farm = f"""\
# A simulated farm: {spec.cows} cows in milk, {spec.boxes} boxes, seed {spec.seed}. Its truth is in truth.json.
name: {herd.truth["farm"]}
zone: {spec.zone}
decimal: ","
inbox: exports
boxes: [{boxes}]
rounds: ["06:30", "16:30"]
"""
    has_log = "box_log" not in exports.unsaid
    texts = {"farm.yaml": farm + CHORES if has_log else farm}
    for name in () if dialect == "ade" else SPLIT if split else FEEDS:
        if name == "boxlog" and not has_log:
            continue
        text = shipped_text(f"feeds/{name}.yaml")
        if name in MAPS:
            text = MAPS[name] + "\n" + text[text.index("feed:") :]
        for feed, own in _by_box(herd, name, text, dialect) if exports.by_box and name in OF_VISITS else [(name, text)]:
            texts[f"feeds/{feed}.yaml"] = _in_conditions(exports, name, own)
    return texts


def _by_box(herd: Simulated, name: str, text: str, dialect: Dialect) -> Iterator[tuple[str, str]]:
    """A map of the visits for each box that has a list of its own."""
    last = icar_box(herd.spec) if dialect == "mixed" else None
    for box in herd.spec.box_names:
        if box != last:
            own = text.replace(f"feed: {name}", f"feed: {name}-{box}")
            yield f"{name}-{box}", own.replace(f'"{name}_', f'"{name}_{box}_')


def _in_conditions(exports: ExportPlan, name: str, text: str) -> str:
    """A map for exports that come more seldom, or promise nothing by their names."""
    if name in OF_VISITS and exports.every_s != HOUR_S:
        text = text.replace("pace: hourly", f"every: {exports.every_s // HOUR_S} h")
    if not exports.stamped:
        text = "".join(line for line in text.splitlines(True) if not line.startswith("complete_until:"))
    return text


def shipped_text(name: str) -> str:
    """One of the settings that come with the simulator: `farm.yaml`, `feeds/milkings.yaml` ..."""
    return package_files("sentinel.simulator").joinpath("farm", *name.split("/")).read_text(encoding="utf-8")


def write_farm(
    out: Path,
    herd: Simulated,
    split: bool = False,
    texts: Mapping[str, str] | None = None,
    dialect: Dialect = "mixed",
) -> tuple[int, int]:
    """Write the herd into the folder `out`: exports/, arrivals.csv, truth.json, farm.yaml and feeds/.

    Each export gets the time at which it appeared as its own. `split`: visits and quarters in two exports. `texts`:
    settings by name, in place of `farm_texts`. Returns how many exports were written, and their bytes.
    """
    (out / "exports").mkdir(parents=True, exist_ok=True)
    (out / "feeds").mkdir(exist_ok=True)
    arrivals, size = [], 0
    for file in export_files(herd, split, dialect):
        path = out / "exports" / file.name
        path.write_bytes(file.content)
        os.utime(path, (file.arrives_at, file.arrives_at))
        arrivals.append((file.arrives_at, file.name))
        size += len(file.content)
    lines = ["file,arrives_at", *(f"{name},{rfc3339(at)}" for at, name in sorted(arrivals))]
    (out / "arrivals.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    (out / "truth.json").write_bytes(truth_text(herd.truth))
    for name, text in (texts or farm_texts(herd, split, dialect)).items():
        (out / name).write_text(text, encoding="utf-8")
    return len(arrivals), size
