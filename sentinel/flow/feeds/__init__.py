"""From the bytes of an export to tidy rows: feed maps, readers, the open ICAR standard, and drafts of a map.

`load_feed_map` reads a map, `matches` says which files it is for, `read_export` reads one with it. `read_icar` needs
no map. `draft_feed_map` writes a first map from a sample.
"""

from sentinel.flow.feeds.check_map import load_feed_map
from sentinel.flow.feeds.drafting.draft import draft_feed_map
from sentinel.flow.feeds.feed_map import FeedMap, feed_map_schema, matches
from sentinel.flow.feeds.formats.icar import ADE_FEEDS, ADE_PACES, ICAR, looks_like_icar, read_icar
from sentinel.flow.feeds.formats.raw import whole_file
from sentinel.flow.feeds.read import complete_until, read_export, refused

__all__ = [
    "ADE_FEEDS",
    "ADE_PACES",
    "ICAR",
    "FeedMap",
    "complete_until",
    "draft_feed_map",
    "feed_map_schema",
    "load_feed_map",
    "looks_like_icar",
    "matches",
    "read_export",
    "read_icar",
    "refused",
    "whole_file",
]
