"""Collections that come as several files, a page each: known until their newest row once every page is there.

A feed whose second page of three is missing must not look known past the visits on it. So the pages that came are
remembered in the store, and how far they tell counts once they are all there. If another collection begins before that,
the missing pages are set aside with its first page: what stood on them may have happened.
"""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

from sentinel.edges.store import Store
from sentinel.flow.again_and_pages import Page
from sentinel.flow.feeds import ADE_FEEDS
from sentinel.flow.model import Batch, SetAside
from sentinel.flow.reasons import Reason
from sentinel.flow.tables import table_named

MOST_NAMED = 6
"""So many missing pages are named."""


def as_page(store: Store, batch: Batch) -> Batch:
    """A batch as it is stored, within the transaction that stores it: how far it tells, and what is missing before it.

    A batch of the past that is told again is as it was.
    """
    if batch.feed not in ADE_FEEDS or batch.rows_read is not None or batch.reread is not None:
        return batch
    kept = f"pages of {batch.feed}"
    before: dict[str, Any] = json.loads(store.meta(kept) or "{}")
    page = batch.page
    if page is None and not before:
        return batch
    if page is None or not _goes_on(before, page, batch.file):
        batch = _with_missing(batch, before)
        before = {} if page is None else {"of": page.of, "pages": page.pages, "came": {}, "newest": None}
    if page is not None:
        newest = max((one for one in (before["newest"], _newest(batch)) if one is not None), default=None)
        before["came"][str(page.number)], before["newest"] = batch.file, newest
        whole = len(before["came"]) == page.pages
        rows = sum(len(part.values) for part in batch.rows if part.table != "quarters")
        batch = replace(batch, rows_read=rows, newest=newest if whole else None)
        before = {} if whole else before
    store.put_meta(kept, json.dumps(before))
    return batch


def _goes_on(before: dict[str, Any], page: Page, file: str) -> bool:
    """Whether a page belongs to the collection that is not whole yet."""
    if not before or (before["of"], before["pages"]) != (page.of, page.pages):
        return False
    return bool(before["came"].get(str(page.number), file) == file)


def _newest(batch: Batch) -> int | None:
    """The moment of a page's newest row that it does not withdraw."""
    moments = []
    for part in batch.rows:
        place = part.columns.index(table_named(part.table).happened)
        gone = part.columns.index("deleted") if "deleted" in part.columns else -1
        moments += [values[place] for values in part.values if gone < 0 or not values[gone]]
    return max(moments, default=None)


def _with_missing(batch: Batch, before: dict[str, Any]) -> Batch:
    """The batch with the pages that an earlier collection lacks for good."""
    if not before:
        return batch
    missing = [n for n in range(1, before["pages"] + 1) if str(n) not in before["came"]]
    named = ", ".join(map(str, missing[:MOST_NAMED])) + (", ..." if len(missing) > MOST_NAMED else "")
    seen = next(iter(before["came"].values()))
    why = Reason("pages-missing", pages=named, n=before["pages"], file=seen)
    aside = SetAside(0, "", why, tab=ADE_FEEDS[batch.feed][0])
    return replace(batch, set_aside=(*batch.set_aside, aside))
