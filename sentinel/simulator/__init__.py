"""An invented herd with known truth: its exports in three dialects, and what really happened beside them.

Reading order: figures (every number with its source), conditions (what makes a herd harder), spec (what is asked for),
herd (the cows), plans (what will happen), boxes (what people do there, who came when, what was measured), tables
(sentinel's own), truth, exports.
"""

from sentinel.simulator.exports.farm_folder import write_farm
from sentinel.simulator.simulated import Simulated
from sentinel.simulator.simulation import simulate
from sentinel.simulator.spec import HerdSpec

__all__ = ["HerdSpec", "Simulated", "simulate", "write_farm"]
