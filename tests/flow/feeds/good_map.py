"""A feed map that is right: what the tests of maps change and ask."""

from __future__ import annotations

GOOD = """\
feed: milkings
files: ["milkings_*.csv", "old/*.txt"]
delimiter: tab
decimal: ","
zone: Europe/Dublin
times: "%d.%m.%Y %H:%M"
tables:
  visits:
    cow: Cow
    start: Start
    milk_kg: {column: Milk, unit: lb}
    outcome: {column: Result, words: {1: milked, stopped: incomplete}, otherwise: missing}
  quarters:
    each: {LF: VL, RF: VR, LR: HL, RR: HR}
    milk_kg: "Milk {quarter}"
    conductivity_mS_cm: {column: "Cond {quarter}", unit: uS/cm, reference_temperature_C: 25}
"""
