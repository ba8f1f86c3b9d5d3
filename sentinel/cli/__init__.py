"""The command `sentinel`: a thin edge that reads the arguments, opens the farm folder and shows what comes back."""

from __future__ import annotations

import io
import sys
from collections.abc import Sequence

from sentinel.cli.base import complain
from sentinel.cli.commands import register
from sentinel.edges.store.write_lock import locked
from sentinel.edges.terminal import in_one_line
from sentinel.errors import DamagedError, SentinelError

app = register()

DAMAGED, OURS = 4, 70
"""Exit codes: the store is damaged, so that nothing is gained by starting again; a fault of sentinel's own."""


def main(given: Sequence[str] | None = None) -> None:
    """Run the command line (`given`, else this process's own); what is wrong is one sentence, not a traceback."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(errors="backslashreplace")  # a terminal or file that has no letter for it
    try:
        app(given)
    except SentinelError as error:
        complain(str(error))
        sys.exit(DAMAGED if isinstance(error, DamagedError) else 2)
    except BrokenPipeError:
        sys.exit(0)
    except OSError as error:
        complain(f"this machine does not let it: {error}")
        sys.exit(2)
    except Exception as error:
        if locked(error):
            complain("another program is writing to the store, so nothing was saved; try again in a minute")
            sys.exit(2)
        complain(f"this is a fault of sentinel's own, or damage that its checks do not see: {in_one_line(error)}")
        sys.exit(OURS)
