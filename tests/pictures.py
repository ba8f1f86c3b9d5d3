"""The two pictures of the page in the README: `python -m tests.pictures` from the top of a checkout.

    python -m tests.pictures [--farm DIR]

DIR is a folder that `sentinel demo --keep DIR` left; without it the demo is played first. What stands at the end of the
week is pictured, and the alert of its box, as a phone shows them.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import tempfile
from pathlib import Path

from tests.browsers import PHONE, chromium_running
from tests.whole.demo.demo_page import at_work

DEPLOY = Path(__file__).resolve().parents[1] / "deploy"
PICTURES = {"page-now.png": "/", "page-alert.png": "/alert/5"}


def main(line: list[str]) -> None:
    """Play the demo if need be, and make the pictures anew."""
    asked = argparse.ArgumentParser(prog="pictures")
    asked.add_argument("--farm", type=Path)
    left = asked.parse_args(line).farm
    with tempfile.TemporaryDirectory() as place:
        if left is None:
            left = Path(place) / "farm"
            subprocess.run([sys.executable, "-m", "sentinel", "demo", "--fast", "--keep", str(left)], check=True)
        with at_work(left, Path(place) / "copy") as farm, chromium_running() as browser:
            context = browser.new_context(viewport=PHONE, service_workers="block")
            context.request.get(farm.own_link())
            tab = context.new_page()
            for name, path in PICTURES.items():
                tab.goto(f"{farm.base}{path}", wait_until="networkidle")
                tab.screenshot(path=DEPLOY / name)
                sys.stdout.write(f"{DEPLOY / name}: {(DEPLOY / name).stat().st_size:,} bytes\n")


if __name__ == "__main__":
    main(sys.argv[1:])
