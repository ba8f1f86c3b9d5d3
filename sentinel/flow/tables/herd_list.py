"""What is true of each cow from a moment on, put together from rows of which some say only what has changed."""

from __future__ import annotations

import numpy as np
import pandas as pd

GONE = "gone"
"""The status of a cow that has left the herd."""

KEPT = ("group", "lactation", "calved_on", "milkings_allowed", "status")
"""What a row that says only what has changed leaves as it was."""

NEW_CALVING_S = 100 * 86400
"""Two calvings of a cow are further apart (a cow carries for nine months; our choice, no source)."""


def moments_of_lists(cows: pd.DataFrame) -> np.ndarray:
    """The moments of whole lists: those of rows that say more than a change, in order."""
    return np.unique(cows["from"].to_numpy(np.int64)[~(cows["partial"].to_numpy(float) == 1.0)])


def filled_in(cows: pd.DataFrame) -> pd.DataFrame:
    """The herd list's rows, each whole, in order of time, then cow; the same frame if nothing is to be filled in.

    A row marked `partial` takes over from the row of the cow before it what it does not say itself. A calving of which
    the lactation is not said makes that unknown. Up to `withheld_until` a cow in milk has the status `withheld`,
    whatever else is said meanwhile, and a row is added for the moment at which that ends.
    """
    partial = cows["partial"].to_numpy(float) == 1.0
    if not partial.any() and not cows["withheld_until"].notna().any():
        return cows
    frame = cows.assign(partial=partial).sort_values(["cow", "from"], kind="stable", ignore_index=True)
    number = (~frame["partial"]).groupby(frame["cow"]).cumsum()
    run = frame["cow"].astype(str) + "\n" + number.astype(str)  # a whole row begins anew
    before = frame.groupby(run, sort=False)["calved_on"].transform(lambda one: one.ffill().shift())
    calved = frame["calved_on"].notna() & ~(frame["calved_on"] - before < NEW_CALVING_S)
    unsaid = (frame["partial"] & calved & frame["lactation"].isna()).to_numpy(bool)
    frame.loc[unsaid, "lactation"] = -1.0
    for name in KEPT:
        frame[name] = frame[name].groupby(run, sort=False).ffill()
    frame.loc[frame["lactation"] < 0, "lactation"] = np.nan
    until = frame["withheld_until"].fillna(-1.0).groupby(run, sort=False).cummax().to_numpy(float)
    frame = _with_ends(frame, until)
    frame = frame.assign(partial=np.where(frame["partial"], 1.0, np.nan))
    for name in ("group", "status"):
        frame[name] = frame[name].astype(object).where(frame[name].notna(), None)
    return frame.sort_values(["from", "cow"], kind="stable", ignore_index=True)


def _with_ends(frame: pd.DataFrame, until: np.ndarray) -> pd.DataFrame:
    """The rows of cows whose milk is withheld `until` a moment said so, with a row for when that ends."""
    begins = frame["from"].to_numpy(np.int64)
    hers = (frame["cow"] == frame["cow"].shift(-1)).to_numpy(bool)
    following = np.where(hers, np.append(begins[1:], 0), np.iinfo(np.int64).max)
    in_milk = (frame["status"].isna() | (frame["status"] == "milking")).to_numpy(bool)
    withheld = in_milk & (begins < until)
    ends = frame[withheld & (until < following)].copy()
    ends["from"] = until[withheld & (until < following)].astype(np.int64)
    withheld_status = frame["status"].to_numpy(object).copy()
    withheld_status[withheld] = "withheld"
    return pd.concat([frame.assign(status=withheld_status), ends], ignore_index=True)
