"""The container file: what it takes is there, and what it makes runs without rights on what it may only read.

No image is built here. What can be had without one is: the steps of the file done in a folder, and what they make
started as its user in a view of the file system where only the farm folder can be written (`confined.py`).
"""

from __future__ import annotations

import fnmatch
import json
import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy
import pytest
from ruamel.yaml import YAML
from whole.project.confined import EXPORTS, FARM, cannot, confined, owned, python

from sentinel.edges.store import Store
from sentinel.edges.store.database import fetch
from sentinel.edges.store.exports.feeds import seen_files

ROOT = Path(__file__).parents[3]
FILE = (ROOT / "deploy" / "Containerfile").read_text(encoding="utf-8")
STEPS = re.findall(r"^([A-Z]+) (.*)$", re.sub(r"^#.*\n", "", FILE, flags=re.M).replace("\\\n", " "), re.M)
LAST = STEPS[max(n for n, (word, _) in enumerate(STEPS) if word == "FROM") :]
HEALTH = json.loads(re.search(r"HEALTHCHECK .*?CMD (\[.*?\])", FILE, re.S)[1])  # type: ignore[index]
COMPOSE = YAML(typ="safe").load((ROOT / "deploy" / "compose.yaml").read_text(encoding="utf-8"))["services"]["sentinel"]


def copied() -> list[str]:
    """What the file takes from the checkout."""
    taken = [what.split()[:-1] for word, what in STEPS if word == "COPY" and "--from" not in what]
    return [name for names in taken for name in names]


def left_out(name: str) -> bool:
    """Whether .dockerignore keeps a path at the top, or in a folder of it, out: the last line that fits decides."""
    out = False
    for line in (ROOT / ".dockerignore").read_text(encoding="utf-8").splitlines():
        pattern = line.removeprefix("!")
        inside = [name, *(str(parent) for parent in Path(name).parents)]
        fits = fnmatch.fnmatch(Path(name).name, pattern.removeprefix("**/")) if "**/" in pattern else pattern in inside
        if line and not line.startswith("#") and (fits or (pattern == "*" and "/" not in name)):
            out = not line.startswith("!")
    return out


def test_what_the_image_is_made_of_is_there_and_let_through() -> None:
    """Each thing it copies exists and is not left out; with it come all the folders that the package is built from."""
    package = (ROOT / "pyproject.toml").read_text(encoding="utf-8")

    assert [name for name in copied() if not (ROOT / name).exists() or left_out(name)] == []
    assert {"sentinel", "rules", "demo_feeds", "pyproject.toml", "README.md", "LICENSE"} <= set(copied())
    assert 'readme = "README.md"' in package
    assert [left_out(name) for name in (".git", ".venv", "tests", "farm")] == [True] * 4
    assert [left_out(f"sentinel/{name}") for name in ("sentinel.db", "secrets.yaml", "page.key")] == [True] * 3


def test_the_image_is_not_root_and_has_one_volume() -> None:
    """Its user is a number above the system's, the farm folder its volume, and every package is held to its hash."""
    words = dict(LAST)
    pip = [what for word, what in STEPS if word == "RUN" and "pip install" in what]

    assert re.fullmatch(r"[1-9]\d{4,}:[1-9]\d{4,}", words["USER"])
    assert words["VOLUME"] == '["/farm"]'
    assert (words["ENTRYPOINT"], words["CMD"]) == ('["sentinel"]', '["run", "/farm"]')
    assert all("--require-hashes" in what or "--no-deps" in what for what in pip)
    assert "RUN" not in words


def test_it_is_run_with_nothing_that_it_does_not_need() -> None:
    """Read-only, no capability, no new rights, the exports to be read, a log that does not grow without end."""
    assert COMPOSE["read_only"] is True
    assert (COMPOSE["cap_drop"], COMPOSE["security_opt"]) == (["ALL"], ["no-new-privileges:true"])
    assert [one.rpartition(":")[2] for one in COMPOSE["volumes"]] == ["/farm", "ro"]
    assert all(port.startswith("127.0.0.1:") for port in COMPOSE["ports"])
    assert COMPOSE["restart"] == "always"
    assert set(COMPOSE["logging"]["options"]) == {"max-size", "max-file"}
    assert (ROOT / "deploy" / COMPOSE["build"]["context"] / COMPOSE["build"]["dockerfile"]).resolve() == (
        ROOT / "deploy" / "Containerfile"
    )


@pytest.mark.skipif(not (tool := shutil.which("hadolint", path=f"{Path(sys.executable).parent}:{os.environ['PATH']}")),
                    reason="hadolint is not in this environment")  # fmt: skip
def test_the_container_file_is_sound(tmp_path: Path) -> None:
    """A linter has nothing to say against it, and does of a file that takes whatever is newest."""
    bad = tmp_path / "Containerfile"
    bad.write_text("FROM debian:latest\nRUN cd /tmp\n", encoding="utf-8")

    def said(path: Path) -> tuple[int, str]:
        done = subprocess.run([str(tool), path], capture_output=True, text=True, check=False)
        return done.returncode, done.stdout + done.stderr

    assert said(ROOT / "deploy" / "Containerfile") == (0, "")
    assert said(bad)[0] != 0


@pytest.fixture(scope="module")
def program(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """What the file installs, from what it copies and nothing else; the packages it needs are this environment's."""
    folder = tmp_path_factory.mktemp("image")
    for name in copied():
        target = folder / "source" / name
        target.parent.mkdir(parents=True, exist_ok=True)
        if (ROOT / name).is_dir():
            shutil.copytree(ROOT / name, target, ignore=shutil.ignore_patterns("__pycache__"))
        else:
            shutil.copyfile(ROOT / name, target)
    pip = [sys.executable, "-m", "pip", "install", "--quiet", "--no-deps", "--no-build-isolation", "--no-index"]
    subprocess.run([*pip, "--target", folder / "opt", folder / "source"], check=True, capture_output=True, cwd=folder)
    for path in (folder / "opt").rglob("*"):
        path.chmod(0o555 if path.is_dir() else 0o444)
    return folder / "opt"


@pytest.fixture
def farm(tmp_path: Path) -> Path:
    """A farm folder of that user, and beside it exports of a day."""
    farm, exports = tmp_path / "farm", tmp_path / "exports"
    subprocess.run([sys.executable, "-m", "sentinel", "init", farm, "--zone", "UTC"], check=True, capture_output=True)
    shutil.copytree(ROOT / "demo_feeds" / "feeds", farm / "feeds", dirs_exist_ok=True)
    exports.mkdir()
    for path in sorted((ROOT / "demo_feeds" / "exports").glob("milkings_20260504*"))[:6]:
        shutil.copyfile(path, exports / path.name)
        os.utime(exports / path.name, (1_000_000_000, 1_777_900_000))
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    text = (farm / "farm.yaml").read_text(encoding="utf-8").replace("inbox: exports", f"inbox: {EXPORTS}")
    (farm / "farm.yaml").write_text(f"{text}page: {{port: {port}}}\n", encoding="utf-8")
    owned(farm)
    return farm


class Running:
    """A container's life without one: the file's own command, user and health check."""

    def __init__(self, program: Path, farm: Path) -> None:
        self.packages = {"program": program, "packages": Path(numpy.__file__).parents[1]}
        self.farm, self.exports = farm, farm.parent / "exports"
        self.port = re.search(r"port: (\d+)", (farm / "farm.yaml").read_text())[1]  # type: ignore[index]
        self.environment = {
            **{"PATH": "/usr/local/bin:/usr/bin:/bin", "HOME": "/tmp", "SENTINEL_FARM": str(FARM)},
            **{"PYTHONPATH": "/mnt/program:/mnt/packages", "PYTHONDONTWRITEBYTECODE": "1", "PYTHONSAFEPATH": "1"},
        }

    def command(self, *given: str | Path) -> list[str]:
        return confined(given, farm=self.farm, exports=self.exports, read_only=self.packages)

    def start(self) -> subprocess.Popen[str]:
        run = self.command(python(), "/mnt/program/bin/sentinel", "run", str(FARM))
        pipe = subprocess.PIPE
        return subprocess.Popen(run, env=self.environment, stdout=pipe, stderr=subprocess.STDOUT, text=True, cwd="/")

    def says(self, *given: str | Path) -> tuple[int, str]:
        done = subprocess.run(self.command(*given), env=self.environment, capture_output=True, text=True, cwd="/")  # noqa: PLW1510
        return done.returncode, done.stdout + done.stderr

    def healthy(self) -> bool:
        """The file's health check, on this farm's port."""
        assert HEALTH[0] == "python"
        return self.says(python(), *(one.replace("8710", self.port) for one in HEALTH[1:]))[0] == 0


def waited(for_s: float, found: Callable[[], bool]) -> bool:
    """Whether it came about before so many seconds had passed."""
    end = time.perf_counter() + for_s
    while not found():
        if time.perf_counter() > end:
            return False
        time.sleep(0.5)
    return True


@pytest.mark.skipif(bool(cannot()), reason=cannot())
def test_without_rights_it_reads_what_it_may_only_read_and_writes_only_its_farm_folder(
    program: Path, farm: Path
) -> None:
    """It starts, reads the exports, is healthy, ends when told to; exports are as they were, even their times."""
    running = Running(program, farm)
    before = {path.name: (path.read_bytes(), path.stat()) for path in sorted(running.exports.iterdir())}
    for path in running.exports.iterdir():
        os.utime(path, (1_000_000_000, 1_777_900_000))
    refused = [running.says("touch", place)[0] for place in ("/x", "/mnt/program/x", EXPORTS / "x", "/var/tmp/x")]
    assert 0 not in refused, "it could have been written, so nothing is shown"
    assert running.says("touch", FARM / "x") == (0, "")
    assert not running.healthy()

    process = running.start()
    try:
        assert waited(60, running.healthy)
        assert waited(60, lambda: files_read(farm) == len(before))
    finally:
        process.send_signal(signal.SIGTERM)
        said, _ = process.communicate(timeout=30)

    assert process.returncode == 0, said
    assert not running.healthy()
    after = {path.name: path.stat() for path in sorted(running.exports.iterdir())}
    assert [(s.st_mtime_ns, s.st_atime_ns, s.st_mode) for s in after.values()] == [
        (s.st_mtime_ns, 1_000_000_000_000_000_000, s.st_mode) for _, s in before.values()
    ]
    assert {name: (running.exports / name).read_bytes() for name in after} == {n: b for n, (b, _) in before.items()}
    store = Store(farm / "sentinel.db")
    store.verify()
    assert fetch(store, "select count(*) from visits")[0][0] > 10


def files_read(farm: Path) -> int:
    """How many exports the running sentinel, which has its store open, has read."""
    store = Store(farm / "sentinel.db")
    try:
        return len(seen_files(store))
    finally:
        store.close()
