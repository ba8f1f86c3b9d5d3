"""What became of a fault that a real farm was put through: the line of a table."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Faced:
    """One fault: how often it was tried, what was lost, what came more than once, and after how long all was well.

    `lost` and `doubled` count notices (or rows, where a fault is about rows): expected and never come; come again.
    `recovered_s`: real seconds from the end of the fault until nothing was owed. `memory_mb`: the most that the service
    held.
    """

    fault: str
    tried: int
    lost: int
    doubled: int
    recovered_s: float
    memory_mb: float


def most_memory_mb(pid: int) -> float:
    """The most memory that a process has held so far, in MB; 0 where the system does not say."""
    return _of_status(pid, "VmHWM")


def memory_mb(pid: int) -> float:
    """The memory that a process holds, in MB; 0 where the system does not say."""
    return _of_status(pid, "VmRSS")


def _of_status(pid: int, name: str) -> float:
    try:
        with open(f"/proc/{pid}/status", encoding="ascii") as status:
            line = next(one for one in status if one.startswith(name))
    except (OSError, StopIteration):
        return 0.0
    return int(line.split()[1]) / 1000
