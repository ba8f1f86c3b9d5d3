"""The house stays a house: what lies where, how long a module may be, who may ask the clock, what is shipped."""

from __future__ import annotations

import ast
import fnmatch
import io
import os
import re
import shutil
import statistics
import subprocess
import sys
import tokenize
import tomllib
from collections import Counter
from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest
from whole.project.tested_elsewhere import TESTED_ELSEWHERE

import sentinel

ROOT = Path(__file__).resolve().parents[3]
PACKAGE = ROOT / "sentinel"
MODULES = sorted(PACKAGE.rglob("*.py"))
FLOW = sorted((PACKAGE / "flow").rglob("*.py"))
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))


def shown(path: Path) -> str:
    """A path as a person names it."""
    return path.relative_to(ROOT).as_posix()


def tree(path: Path) -> ast.Module:
    """A module's syntax tree."""
    return ast.parse(path.read_text(encoding="utf-8"))


def ignored(name: str) -> bool:
    """Whether .gitignore leaves out a file or folder at the top."""
    patterns = (ROOT / ".gitignore").read_text(encoding="utf-8").split()
    return name == ".git" or any(fnmatch.fnmatch(name, pattern.strip("/")) for pattern in patterns)


# --- what lies where -------------------------------------------------------------------------------------


def test_top_level_is_as_listed() -> None:
    """At the top lies what the README and DEVELOPERS.md speak of, and nothing else."""
    rooms = {"sentinel", "rules", "tests", "demo_feeds", "deploy", ".ci"}
    files = {"README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE", "pyproject.toml", ".gitignore", ".dockerignore"}

    assert {path.name for path in ROOT.iterdir() if not ignored(path.name)} == rooms | files


def test_modules_are_short() -> None:
    """No module is over 400 lines, and half of those with something in them have 60 to 250."""
    lengths = {shown(path): len(path.read_text(encoding="utf-8").splitlines()) for path in MODULES}

    assert {name: length for name, length in lengths.items() if length > 400} == {}
    assert 60 <= statistics.median(length for length in lengths.values() if length > 10) <= 250


def test_names_of_test_files_lead_to_one_place() -> None:
    """Each test file's name is there once, but where it stands beside the others as its module beside theirs."""
    tests = ROOT / "tests"
    paths = [path.relative_to(tests) for path in tests.rglob("test_*.py")]
    count = Counter(path.name for path in paths)
    mirrored = {path for path in paths if (PACKAGE / path.parent / path.name.removeprefix("test_")).is_file()}

    assert [str(path) for path in paths if count[path.name] > 1 and path not in mirrored] == []


def has_code(path: Path) -> bool:
    """Whether a module does more than to hand on what others have."""
    return any(
        not isinstance(node, ast.Import | ast.ImportFrom | ast.Expr)
        and not (isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "__all__")
        for node in tree(path).body
    )


def untested(modules: set[str], tests: set[str], elsewhere: Mapping[str, str]) -> list[str]:
    """What is amiss between modules, test files (paths from the top) and the table of what is tested elsewhere."""
    mirrored = {one: f"tests/{one.rpartition('/')[0]}/test_{one.rpartition('/')[2]}" for one in modules}
    found = [f"{one}: no {test}" for one, test in mirrored.items() if test not in tests and one not in elsewhere]
    for one, said in elsewhere.items():
        test, _, why = said.partition(": ")
        if one not in modules:
            found.append(f"{one}: there is no such module")
        elif mirrored[one] in tests:
            found.append(f"{one}: has its test file")
        if test not in tests or not why:
            found.append(f"{one}: {said} names no test file, or not why")
    return sorted(found)


@pytest.mark.parametrize(
    ("modules", "elsewhere", "amiss"),
    [
        ({"flow/a/b.py"}, {}, ["flow/a/b.py: no tests/flow/a/test_b.py"]),
        ({"flow/a/c.py"}, {}, []),
        ({"flow/a/b.py"}, {"flow/a/b.py": "tests/flow/a/test_c.py: read by it"}, []),
        ({"flow/a/c.py"}, {"flow/a/c.py": "tests/flow/a/test_c.py: read by it"}, ["flow/a/c.py: has its test file"]),
        (set(), {"flow/a/b.py": "tests/flow/a/test_c.py: x"}, ["flow/a/b.py: there is no such module"]),
        ({"flow/b.py"}, {"flow/b.py": "test_x.py: x"}, ["flow/b.py: test_x.py: x names no test file, or not why"]),
    ],
)
def test_a_module_without_its_test_file_is_found(
    modules: set[str], elsewhere: dict[str, str], amiss: list[str]
) -> None:
    """So is what the table says of a module that is gone, that has its test file, or of a test file that is gone."""
    assert untested(modules, {"tests/flow/a/test_c.py"}, elsewhere) == amiss


def test_each_module_of_flow_has_its_test_file() -> None:
    """flow/a/b.py has tests/flow/a/test_b.py, or stands with the reason in the table of what is tested elsewhere."""
    modules = {one.relative_to(PACKAGE).as_posix() for one in FLOW if one.name != "__init__.py" or has_code(one)}
    tests = {shown(path) for path in (ROOT / "tests").rglob("test_*.py")}

    assert untested(modules, tests, TESTED_ELSEWHERE) == []


# --- who may ask the clock -------------------------------------------------------------------------------

CLOCKS = {
    *("time.time", "time.time_ns", "time.monotonic", "time.monotonic_ns", "time.perf_counter", "time.localtime"),
    *("time.gmtime", "time.sleep", "datetime.now", "datetime.utcnow", "datetime.today", "date.today"),
    *("Timestamp.now", "Timestamp.today", "Timestamp.utcnow"),
}
NOW_WORDS = re.compile(r"\b(datetime|date|time|julianday|unixepoch|strftime)\(\s*['\"].*now|current_timestamp", re.I)


def asks_the_clock(module: ast.Module) -> Iterator[int]:
    """Lines on which a module asks what time it is, in Python or in SQL."""
    for node in ast.walk(module):
        if isinstance(node, ast.Attribute):
            parts = ast.unparse(node).split(".")
            if ".".join(parts[-2:]) in CLOCKS:
                yield node.lineno
        elif isinstance(node, ast.ImportFrom) and node.module == "time":
            yield node.lineno
        elif isinstance(node, ast.Constant) and isinstance(node.value, str) and NOW_WORDS.search(node.value):
            yield node.lineno
        elif isinstance(node, ast.Call) and ast.unparse(node.func).split(".")[-1] in ("Timestamp", "datetime64"):
            if any(isinstance(arg, ast.Constant) and arg.value in ("now", "today") for arg in node.args):
                yield node.lineno


@pytest.mark.parametrize(
    "code",
    [
        "import time\ntime.monotonic()",
        "from time import time",
        "from datetime import datetime\ndatetime.now(UTC)",
        "import pandas as pd\npd.Timestamp('now')",
        "conn.execute(\"select datetime('now')\")",
    ],
)
def test_a_look_at_the_clock_is_found(code: str) -> None:
    """Every way to ask the time that we know of is seen by the test below."""
    assert list(asks_the_clock(ast.parse(code)))


def test_only_the_clock_asks_the_time() -> None:
    """Nothing but edges/clock.py asks what time it is."""
    found = {shown(path): list(asks_the_clock(tree(path))) for path in MODULES if path.name != "clock.py"}

    assert {name: lines for name, lines in found.items() if lines} == {}


def test_at_is_always_given() -> None:
    """A parameter called `at` has no default in the pure middle: nobody can forget to say when."""
    found = []
    for path in FLOW:
        for node in ast.walk(tree(path)):
            if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda):
                given = node.args
                names = [a.arg for a in (*given.posonlyargs, *given.args)]
                defaults = [*names[len(names) - len(given.defaults) :]]
                defaults += [a.arg for a, d in zip(given.kwonlyargs, given.kw_defaults, strict=True) if d is not None]
                found += [f"{shown(path)}:{node.lineno}" for name in defaults if name == "at"]

    assert found == []


def test_the_middle_opens_and_prints_nothing() -> None:
    """The pure middle calls no `open` or `print` and lets pandas read no file."""
    found = []
    for path in FLOW:
        for node in ast.walk(tree(path)):
            if isinstance(node, ast.Call):
                name = ast.unparse(node.func)
                if name in ("open", "print", "input") or re.match(r"(pd|pandas)\.read_", name):
                    found.append(f"{shown(path)}:{node.lineno} {name}")

    assert found == []


# --- what is said of the code ----------------------------------------------------------------------------


def without_docstring(path: Path) -> Iterator[str]:
    """The module, public classes, functions and methods that say nothing of themselves."""
    module = tree(path)
    if module.body and not ast.get_docstring(module):
        yield shown(path)
    waiting: list[tuple[str, ast.stmt]] = [("", node) for node in module.body]
    while waiting:
        inside, node = waiting.pop()
        if not isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef) or node.name.startswith("_"):
            continue
        if not ast.get_docstring(node):
            yield f"{shown(path)}:{node.lineno} {inside}{node.name}"
        if isinstance(node, ast.ClassDef):
            waiting += [(f"{node.name}.", one) for one in node.body]


def test_public_functions_say_what_they_do() -> None:
    """Every module and every public class, function and method of the package has a docstring."""
    assert [one for path in MODULES for one in without_docstring(path)] == []


def test_tests_say_the_behaviour() -> None:
    """Every test begins with a sentence that says the behaviour it shows."""
    found = []
    for path in sorted((ROOT / "tests").rglob("test_*.py")):
        for node in ast.walk(tree(path)):
            if isinstance(node, ast.FunctionDef) and node.name.startswith("test_") and not ast.get_docstring(node):
                found.append(f"{shown(path)}:{node.lineno} {node.name}")

    assert found == []


# --- what the files speak of -----------------------------------------------------------------------------


def texts() -> Iterator[tuple[Path, list[str]]]:
    """Every text file of the house with its lines, but the demo's exports."""
    for path in sorted(ROOT.rglob("*")):
        inside = path.relative_to(ROOT).parts
        if any(ignored(part) for part in inside) or inside[:2] == ("demo_feeds", "exports") or not path.is_file():
            continue
        try:
            yield path, path.read_text(encoding="utf-8").splitlines()
        except UnicodeDecodeError:
            continue


PLACES = re.compile(
    r"(?<![\w.:/-])/((home|Users|Volumes|builds?|work(space|dir|tree)?s?)/\w|root\b)"  # where people's own files lie
    r"|(?<![A-Za-z])[A-Z]:\\{1,2}(?!(Sentinel|Backup|Temp|Program Files)\b)[A-Z][a-z]+"  # a drive, but for the examples
)
REGISTRIES = re.compile(r"p[y]pi|(?<!no-emit-)(index[-]url|find[-]links)")


@pytest.mark.parametrize(
    ("parts", "found"),
    [
        (("", "home", "ada", "farm.yaml"), True),
        (("(", "Users", "ada", "x"), True),
        (("", "root"), True),
        (("", "workspace", "main"), True),
        (("C:", "Users", "ada"), True),
        (("C:", "Sentinel", "farm"), False),
        (("", "var", "lib", "sentinel"), False),
        (("", "tmp", "demo-farm"), False),
        (("https:", "", "farm.example", "home", "now"), False),
        (("", "worklist", "217"), False),
    ],
)
def test_a_path_of_somebodys_machine_is_found(parts: tuple[str, ...], found: bool) -> None:
    """Folders of people and builds are seen on any machine; the system's own, addresses and the page's are not."""
    joined = ("\\" if parts[0] == "C:" else "/").join(parts)

    assert bool(PLACES.search(f"see {joined}")) == found


def test_no_file_names_a_place_on_one_machine() -> None:
    """No file names a folder of somebody's machine, least of all of the one it was written on, or a package index."""
    here = [str(place) for place in (ROOT, Path.home()) if len(place.parts) > 2]
    found = []
    for path, lines in texts():
        for n, line in enumerate(lines, 1):
            if PLACES.search(line) or REGISTRIES.search(line) or any(place in line for place in here):
                found.append(f"{shown(path)}:{n}: {line.strip()}")

    assert found == []


MAKING = re.compile(
    r"(?<!\bat )\bissues?\b|\b(tasks?|tickets?|sprints?|milestones?|pull requests?|worktrees?|sub-?agents?)\b"
    r"|\b(coding|working|agents?|helpers?|previous|earlier) sessions?\b|\bacceptance criteri",
    re.IGNORECASE,
)
OF_FARMS = {
    "sentinel/flow/tables/exported.py": "udfald;utfall;résultat;issue",
    "sentinel/flow/feeds/drafting/lexicon/dictionary.py": "udfald;utfall;issue",
    "tests/drafting/built_on.yaml": "Résultat | Issue",
    "tests/drafting/held_out.yaml": "Issue de la visite",
}
"""What may stand there: a heading of French exports, where `issue` is how a visit ended."""
SCHEDULED = re.compile(r"\bscheduled tasks?\b", re.IGNORECASE)
OF_WINDOWS = re.compile(r"\btasks?\b", re.IGNORECASE)
"""What Windows calls what it starts by itself: everywhere in full, and in the files of its own by the one word."""


def speaks_of_its_making(name: str, text: str) -> list[int]:
    """The lines on which a file speaks of issues, tasks, tickets or sessions in which it was made.

    Of Python only what is said counts, comments and strings without what is filled into them: a name in the code, as
    a library asks for it, says nothing. Of sessions only those at work: the page has sessions, and so has grazing.
    """
    said = [(n, line) for n, line in enumerate(text.splitlines(), 1)]
    if name.endswith(".py"):
        tokens = tokenize.generate_tokens(io.StringIO(text).readline)
        spoken = [one for one in tokens if one.type in SPOKEN]
        said = [(t.start[0] + n, line) for t in spoken for n, line in enumerate(t.string.splitlines())]
    allowed = OF_FARMS.get(name, "\0")
    of_windows = OF_WINDOWS if name.startswith("deploy/windows") else SCHEDULED
    said = [(n, of_windows.sub("", line)) for n, line in said]
    return [n for n, line in said if MAKING.search(re.sub(r"\{[^}]*\}", "", line.replace(allowed, "")))]


SPOKEN = {
    *(tokenize.COMMENT, tokenize.STRING),
    getattr(tokenize, "FSTRING_MIDDLE", tokenize.STRING),  # what f-strings say, from Python 3.12 on
}


@pytest.mark.parametrize(
    ("text", "lines"),
    [
        ('"""One in six.\n\n(the issue)"""\nx = "by the issue"\n# as the task says', [3, 4, 5]),
        ('task = bar.add_task("{task.fields[when]}")', []),
        ("# the point at issue was issued", []),
        ("# the page's session ends with its link", []),
        ("# found in an earlier session", [1]),
    ],
)
def test_a_word_of_how_it_was_made_is_found(text: str, lines: list[int]) -> None:
    """Comments and strings that speak of the making are seen; code, the page's sessions and common phrases are not."""
    assert speaks_of_its_making("one.py", text) == lines


def test_no_file_speaks_of_how_the_project_is_made() -> None:
    """No file but this one speaks of issues, tasks, tickets or sessions: an assumption is called an assumption."""
    found = [
        f"{shown(path)}:{n}: {lines[n - 1].strip()}"
        for path, lines in texts()
        if path != Path(__file__)
        for n in speaks_of_its_making(shown(path), "\n".join(lines) + "\n")
    ]

    assert found == []


# --- what is shipped -------------------------------------------------------------------------------------


def test_one_version() -> None:
    """The program, its packaging and the newest entry of the changelog name the same version."""
    changelog = (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
    newest = re.findall(r"^## \[(\d[^\]]*)\] - \d{4}-\d\d-\d\d$", changelog, re.M)[0]

    assert sentinel.__version__ == PROJECT["project"]["version"] == newest


def test_every_folder_is_shipped() -> None:
    """pyproject.toml lists every folder of the package, the rules and the demo farm."""
    wanted = {
        ".".join(path.relative_to(ROOT).parts)
        for path in [PACKAGE, *PACKAGE.rglob("*")]
        if path.is_dir() and "__pycache__" not in path.parts and any(one.is_file() for one in path.iterdir())
    }
    for room in ("rules", "demo_feeds"):
        folders = [ROOT / room, *(path for path in (ROOT / room).rglob("*") if path.is_dir())]
        wanted |= {".".join(("sentinel", "shipped", *path.relative_to(ROOT).parts)) for path in folders}

    assert set(PROJECT["tool"]["setuptools"]["packages"]) == wanted


def pinned(name: str) -> dict[str, str]:
    """The packages of one list in deploy/, by name: the whole text of each, as pip reads it."""
    text = (ROOT / "deploy" / name).read_text(encoding="utf-8").replace("\\\n", " ")
    lines = [line for line in text.splitlines() if line and not line.startswith("#")]
    return {line.split("==")[0] + "|" + line.partition(";")[2].split("--")[0].strip(): line for line in lines}


def test_pinned_packages_fit() -> None:
    """Both lists pin every package with hashes, agree with each other and hold all that pyproject.toml asks for."""
    run, test = pinned("requirements.txt"), pinned("requirements-test.txt")
    project = PROJECT["project"]
    asked = [re.split(r"[<>=]", one)[0].lower().replace(".", "-") for one in project["dependencies"]]
    tools = [re.split(r"[<>=\[]", one)[0].lower() for one in project["optional-dependencies"]["test"]]

    assert [line for line in (*run.values(), *test.values()) if "==" not in line or "--hash=sha256:" not in line] == []
    assert {key: line for key, line in run.items() if test.get(key) != line} == {}
    assert set(asked) <= {key.split("|")[0] for key in run}
    assert set(tools) <= {key.split("|")[0] for key in test}
    assert any(line.startswith("icar-pydantic==1.4.0.dev2 ") for line in run.values())


@pytest.mark.parametrize("script", ["deploy/demo", "deploy/test", "deploy/lock", ".ci/run"])
def test_scripts_can_be_run(script: str) -> None:
    """The scripts are executable and bash can read them."""
    assert os.access(ROOT / script, os.X_OK)
    subprocess.run(["bash", "-n", ROOT / script], check=True)


def test_installed_package_works_elsewhere(tmp_path: Path) -> None:
    """A wheel, installed away from the checkout, makes a farm folder with the shipped rules, checks and looks once."""
    source = tmp_path / "source"
    for name in ("sentinel", "rules", "demo_feeds"):
        shutil.copytree(ROOT / name, source / name, ignore=shutil.ignore_patterns("__pycache__"))
    for name in ("pyproject.toml", "README.md", "LICENSE"):
        shutil.copyfile(ROOT / name, source / name)
    pip = [sys.executable, "-m", "pip", "install", "--quiet", "--no-deps", "--no-build-isolation", "--no-index"]
    target, farm = tmp_path / "installed", tmp_path / "farm"
    subprocess.run([*pip, "--target", target, source], check=True, capture_output=True, cwd=tmp_path)
    environment = {**os.environ, "PYTHONPATH": str(target), "PYTHONSAFEPATH": "1"}

    def run(*arguments: str) -> str:
        code = "import sentinel.cli, sys; print(sentinel.__file__, file=sys.stderr); sentinel.cli.main()"
        command = [sys.executable, "-c", code, *arguments]
        told = subprocess.run(command, capture_output=True, text=True, cwd=tmp_path, env=environment, check=False)
        assert str(target) in told.stderr
        assert told.returncode == 0, told.stdout + told.stderr
        return told.stdout

    assert (target / "sentinel" / "edges" / "locales" / "de" / "LC_MESSAGES" / "sentinel.mo").is_file()
    run("init", str(farm))
    settings = (farm / "farm.yaml").read_text(encoding="utf-8")
    (farm / "farm.yaml").write_text(settings.replace('["1", "2"]', '["1", "2", "3"]'), encoding="utf-8")
    demo = target / "sentinel" / "shipped" / "demo_feeds"
    for path in sorted((demo / "feeds").iterdir()):
        shutil.copyfile(path, farm / "feeds" / path.name)
    some = sorted((demo / "exports").iterdir())
    for path in [one for one in some if "2026-05-04" in one.name or "20260504" in one.name]:
        shutil.copyfile(path, farm / "exports" / path.name)

    assert "All good: 4 feed maps" in run("check", str(farm))
    assert "read milkings_20260504" in run("once", str(farm), "--verbose")
    shipped = {path.name for path in (ROOT / "rules").iterdir()} - {"README.md"}
    assert shipped == {path.name for path in (farm / "rules").iterdir()}
    assert len(some) == len(list((ROOT / "demo_feeds" / "exports").iterdir()))
