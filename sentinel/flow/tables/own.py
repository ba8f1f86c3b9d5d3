"""The tables that sentinel fills itself, from what people said and from its own doing."""

from __future__ import annotations

from sentinel.flow.model import DAY_S
from sentinel.flow.tables.declare import Column, Table

CHORES = Table(
    "chores",
    "A chore that a person said they did.",
    key=("chore", "place", "at"),
    happened="at",
    columns=(
        Column("chore", "text", "which chore"),
        Column("place", "text", "at which box or block; empty if it has no place"),
        Column("at", "time", "when it was done"),
        Column("person", "text", "who said so"),
        Column("note", "text", "their note"),
    ),
    kept_s=60 * DAY_S,
    latest=True,
    in_bulk=True,
)

FILES = Table(
    "files",
    "One reading of one export file.",
    key=("feed", "file", "at"),
    happened="at",
    columns=(
        Column("feed", "text", "which feed"),
        Column("file", "text", "the file's name under the inbox folder"),
        Column("at", "time", "when it was read"),
        Column("rows_read", "count", "rows that were understood"),
        Column("rows_set_aside", "count", "rows that were not"),
        Column("rows_in_part", "count", "rows that were kept without some of their cells"),
        Column("reason", "reason", "the first reason"),
    ),
    kept_s=32 * DAY_S,
)

DELIVERIES = Table(
    "deliveries",
    "How a notice to a channel ended.",
    key=("notice", "channel"),
    happened="at",
    columns=(
        Column("notice", "text", "the notice's id"),
        Column("channel", "text", "the channel's name"),
        Column("at", "time", "when it ended"),
        Column("outcome", "word", "how", words=("delivered", "gave_up")),
        Column("detail", "reason", "what the channel said"),
    ),
    kept_s=32 * DAY_S,
)

UNREAD = Table(
    "unread",
    "Rows of an export that could not be read: each may have happened.",
    key=("feed", "file", "line"),
    happened="ends",
    columns=(
        Column("feed", "text", "which feed"),
        Column("file", "text", "the file's name under the inbox folder"),
        Column("line", "count", "the first one's line; 0 if the whole file could not be read"),
        Column("tab", "text", "the table that they would have been rows of"),
        Column("who", "text", "the cow's or box's name, empty if it could not be read"),
        Column("box", "text", "which box, empty if it could not be read"),
        Column("begins", "time", "they happened at this moment or later"),
        Column("ends", "time", "they happened at this moment or earlier"),
        Column("number", "count", "how many rows"),
    ),
    kept_s=32 * DAY_S,
    in_bulk=True,
)

OWN = (CHORES, FILES, DELIVERIES, UNREAD)
"""The tables sentinel fills itself."""
