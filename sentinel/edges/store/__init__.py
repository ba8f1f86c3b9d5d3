"""A farm's store: one SQLite file, and the questions that are asked of it. No SQL stands outside this package.

`Store` is the open file; the modules hold the named queries and writes by what they are about, each a function of it.
"""

from sentinel.edges.store.database import Store

__all__ = ["Store"]
