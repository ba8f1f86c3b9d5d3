"""`python -m tests.drafting [PART ...]`: how right drafts of maps are, in many dialects."""

import argparse
import sys

from .corpus import SEEDS, report

if __name__ == "__main__":
    parser = argparse.ArgumentParser(prog="python -m tests.drafting")
    parser.add_argument("parts", nargs="*", default=list(SEEDS), help="built_on, farms, held_out, unlike, further")
    parser.add_argument("--strange", type=float, default=0.0, help="the share of titles that are words of no language")
    parser.add_argument("--only", default="", help="one dialect, with each of its fields that is not right")
    given = parser.parse_args()
    sys.stdout.write(report(given.parts, given.strange, given.only) + "\n")
