"""An invented farm with known truth: exports in three dialects, and what really happened beside them.

Reading order: parameters, herd, faults, routine, visits (who came when), milk (what was measured), record, the
dialects write_csv (whole, or split into two exports), write_icar, write_xlsx (on workbook), exports (files and their
mishaps), truth, and the demo's own week: script, story, week. Herds over months, for measuring how well alerts do,
are in `season`.
"""

from sentinel.simulate.season import HerdSpec, Simulated, simulate, write_farm
from sentinel.simulate.week import DemoWeek, demo_week, write_demo

__all__ = ["DemoWeek", "HerdSpec", "Simulated", "demo_week", "simulate", "write_demo", "write_farm"]
