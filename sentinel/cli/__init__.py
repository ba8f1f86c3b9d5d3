"""The command `sentinel`: a thin edge that reads the arguments, opens the farm folder and shows what comes back."""

from __future__ import annotations

import sys
from collections.abc import Sequence

from sentinel.cli import begin, dated, demo, docs, look, people, people_say, show, simulate, status, tell, work  # noqa: F401  (each adds its commands)
from sentinel.cli.base import app, complain
from sentinel.errors import SentinelError


def main(given: Sequence[str] | None = None) -> None:
    """Run the command line (`given`, else this process's own); what is wrong is one sentence, not a traceback."""
    try:
        app(given)
    except SentinelError as error:
        complain(str(error))
        sys.exit(2)
    except BrokenPipeError:
        sys.exit(0)
