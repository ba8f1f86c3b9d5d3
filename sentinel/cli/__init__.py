"""The command `sentinel`: a thin edge that reads the arguments, opens the farm folder and shows what comes back."""

from __future__ import annotations

import sys

from sentinel.cli import begin, demo, docs, look, people_say, show, simulate, work  # noqa: F401  (each adds its commands)
from sentinel.cli.base import app, complain
from sentinel.errors import SentinelError


def main() -> None:
    """Run the command line; what sentinel itself has to say against it is one sentence, not a traceback."""
    try:
        app()
    except SentinelError as error:
        complain(str(error))
        sys.exit(2)
    except BrokenPipeError:
        sys.exit(0)
