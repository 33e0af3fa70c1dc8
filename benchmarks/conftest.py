"""Lets the benchmarks import frame W-1, the plain solve and the demo pumps of the tests."""

import sys
from pathlib import Path

ROOT = Path(__file__).parents[1]
for folder in (Path(__file__).parent, ROOT / "tests" / "independent", ROOT / "tests" / "identity" / "circulation"):
    if str(folder) not in sys.path:
        sys.path.insert(0, str(folder))
