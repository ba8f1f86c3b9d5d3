"""Watches the folder where exports are dropped, and hands over what is complete. Knows no feed and no row.

    watch     wakes: the operating system's messages that something in the folder changed
    folder    looks: lists the folder, compares with what was read before, reads what is due
    rounds    remembers: who opens again what was closed, and goes on
    complete  judges: how much of a file's content is complete
    under_way notes: which file is being read, so that one that ends the process does not do so at each start
    reading_order  orders: of a long backlog first what decisions rest on
    mounts    doubts: an empty folder may be one whose share is not mounted

The messages only *wake* it; what is true is found by listing the folder and looking at each file. The watch is put
up before the first listing, and a listing is made every `sweep_s` for ever: so nothing is missed when messages are
lost, when the folder is a network share whose changes are never told, or when it is deleted and made again.

Nothing in the folder is ever written, moved, locked or deleted; where the system allows it, not even the time of
last reading is touched.

When a file counts as complete:

- renamed into its name, from within the folder or from elsewhere: at once;
- closed by the program that wrote it, and not opened by anybody for `reopen_s` after that: then. Which program closes
  a file and goes on with it is remembered while the watch runs, and its files must be quiet;
- not changed for longer than `quiet_s` when it is first seen: at once;
- otherwise when its size, time and inode have not changed for `quiet_s`. Choose it longer than the longest pause of
  the program that writes. So it is on every share, whose changes are not told, and wherever closing is not;
- line files (`LINE_FILES`) hand over their complete lines; a last line without its newline waits. Many programs
  never write that newline, so a file unchanged for `tail_s` is taken as it is; if that line grows after all, it is
  handed over again from its beginning;
- an empty file, JSON that does not end in `}` or `]`, and XLSX without the index at its end count as still being
  written, also until `tail_s`.
"""

from sentinel.edges.inbox.complete import LINE_FILES, UNFINISHED_NAMES
from sentinel.edges.inbox.folder import MOST_BYTES, Inbox
from sentinel.edges.inbox.reading_order import MOST_DEFERRED, Kept
from sentinel.edges.inbox.scans import Found, Scan, Seen, Waiting
from sentinel.edges.inbox.under_way import UnderWay

__all__ = [
    "LINE_FILES",
    "MOST_BYTES",
    "MOST_DEFERRED",
    "UNFINISHED_NAMES",
    "Found",
    "Inbox",
    "Kept",
    "Scan",
    "Seen",
    "UnderWay",
    "Waiting",
]
