"""Rows sorted by subject, then time: the arrangement in which every measure does its arithmetic."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd

from sentinel.flow.reasons import Reason


@dataclass(frozen=True, slots=True)
class Ordered:
    """Rows of a table in the order subject, time.

    `names` are the subjects, each once, sorted; per row `code` is its subject's place in `names`, `at` its moment
    in UTC seconds and `row` its position in the table it came from.
    """

    names: np.ndarray
    code: np.ndarray
    at: np.ndarray
    row: np.ndarray

    def __len__(self) -> int:
        return len(self.at)

    @property
    def subject(self) -> np.ndarray:
        """The subject of each row."""
        return np.asarray(self.names[self.code])

    @property
    def ends_moment(self) -> np.ndarray:
        """Which rows are the last of their subject at their moment."""
        if not len(self):
            return np.empty(0, bool)
        return np.append((self.code[1:] != self.code[:-1]) | (self.at[1:] != self.at[:-1]), True)

    def take(self, column: pd.Series) -> np.ndarray:
        """A column of the table the rows came from, in this order."""
        return np.asarray(column.to_numpy()[self.row])

    def only(self, keep: np.ndarray) -> Ordered:
        """The rows picked by a mask."""
        return Ordered(self.names, self.code[keep], self.at[keep], self.row[keep])

    def up_to(self, code: np.ndarray, at: np.ndarray) -> np.ndarray:
        """How many rows stand up to each (subject, moment): all of earlier subjects, and its own until `at`.

        The difference of two answers for one subject is the number of its rows in (earlier, later]: whole numbers
        that do not depend on where the data begins.
        """
        if not len(self):
            return np.zeros(len(code), np.int64)
        low, high = self.at.min(), self.at.max()
        width = high - low + 2
        keys = self.code * width + (self.at - low + 1)
        wanted = code * width + (np.clip(at, low - 1, high) - low + 1)
        return np.asarray(np.searchsorted(keys, wanted, side="right"))

    def frame(self, **columns: Any) -> pd.DataFrame:
        """A frame of `subject`, `at` and further columns that are already in this order."""
        subject = texts(self.names).array.take(self.code)
        return pd.DataFrame({"subject": subject, "at": self.at, **columns}, copy=False)

    def moments(self) -> pd.DataFrame:
        """A frame of `subject` and `at`, one row for each moment of a subject."""
        return self.only(self.ends_moment).frame()


def ordered(kind: str, name: pd.Series, at: pd.Series, keep: np.ndarray) -> Ordered:
    """The rows picked by `keep`, by subject `kind:name`, then time; rows without a name belong to no subject."""
    row = np.flatnonzero(keep & name.notna().to_numpy())
    code, names = pd.factorize(name.to_numpy(object)[row])
    return arranged([f"{kind}:{one}" for one in names], code, at.to_numpy(np.int64)[row], row)


def arranged(names: Sequence[str], code: np.ndarray, at: np.ndarray, row: np.ndarray) -> Ordered:
    """Rows whose subjects are given as places in `names` (in any order), sorted by subject, then time."""
    spelled = np.array(names, dtype=object)
    alphabetical = np.argsort(spelled)
    place = np.empty(len(spelled), np.int64)
    place[alphabetical] = np.arange(len(spelled))
    by_name = place[code]
    order = np.lexsort((at, by_name))
    return Ordered(spelled[alphabetical], by_name[order], at[order], row[order])


def moments_of(kind: str, parts: Iterable[tuple[Any, Any]], start_from: Sequence[str], start: int) -> pd.DataFrame:
    """The resets of subjects `kind:name` from several (names, moments) pairs: `subject`, `at`, each moment once.

    A name in `start_from` for which nothing is known up to the moment `start` gets a reset at `start`.
    """
    pairs = list(parts)
    names = np.concatenate([np.asarray(name, dtype=object) for name, _ in pairs] or [np.empty(0, object)])
    moments = np.concatenate([np.asarray(at, dtype=np.int64) for _, at in pairs] or [np.empty(0, np.int64)])
    known = set(names[moments <= start])
    begin = [name for name in dict.fromkeys(start_from) if name not in known]
    names = np.concatenate([names, np.array(begin, dtype=object)])
    moments = np.concatenate([moments, np.full(len(begin), start, np.int64)])
    return ordered(kind, pd.Series(names, dtype=object), pd.Series(moments), np.ones(len(names), bool)).moments()


def texts(values: np.ndarray) -> pd.Series:
    """A column of text, of text type even when it is empty."""
    return pd.Series(values, dtype="str")


def sentences(values: np.ndarray) -> pd.Series:
    """A column of sentences that can be said in any language (`Said`): as objects, since a text type forgets that."""
    return pd.Series(values, dtype=object)


def said(reasons: np.ndarray) -> pd.Series:
    """Reasons as sentences that can be said in any language."""
    # Not put into a column through a mask: that makes an array in which each text has the room of the longest.
    return sentences(np.fromiter((one.sentence() if isinstance(one, Reason) else None for one in reasons), object))
