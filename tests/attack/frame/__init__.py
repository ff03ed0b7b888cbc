"""What attacks share. Importing it lets them import this checkout, and what tests and benchmarks share."""

import sys
from pathlib import Path

TESTS = Path(__file__).parents[2]
sys.path[1:1] = [str(TESTS.parent), str(TESTS), str(TESTS / "bench")]
