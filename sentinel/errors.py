"""Every exception sentinel raises on purpose.

    SentinelError
    ├── FarmFolderError      the farm folder cannot be used as it is (says which file and what to do)
    │   └── ChangedMeanwhile a settings file is not what it was when somebody decided what to write into it
    ├── StoreError           the store cannot be opened or was written by a newer sentinel
    │   ├── DamagedError     the store is damaged, or gone where there was one (says what, and how to come back)
    │   └── LogChainError    the log's chain is broken (names the first entry that does not fit)
    ├── BusyError            another sentinel is working in this farm folder
    └── UsageError           a command was given something it cannot use (an edit that is refused: `EditRefused`)

Bad data and bad rules are not exceptions: they are `sentinel.flow.model.Problem` values, collected and shown
together.
"""


class SentinelError(Exception):
    """Base of all errors that sentinel raises on purpose; its text is meant for a person."""


class FarmFolderError(SentinelError):
    """The farm folder cannot be used as it is."""


class ChangedMeanwhile(FarmFolderError):
    """The settings file of that name is not what it was when somebody decided what to write into it."""

    def __init__(self, name: str) -> None:
        super().__init__(f"{name} was changed meanwhile; look at it again")
        self.name = name


class StoreError(SentinelError):
    """The store cannot be opened or was written by a newer sentinel."""


class DamagedError(StoreError):
    """The store is damaged, or gone where there was one; `is_told`: people were told by their channels."""

    is_told = False


class LogChainError(StoreError):
    """The log's chain is broken."""


class BusyError(SentinelError):
    """Another sentinel is working in this farm folder."""


class UsageError(SentinelError):
    """A command was given something it cannot use."""
