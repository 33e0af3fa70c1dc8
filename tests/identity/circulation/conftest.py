"""Lets the tests of this folder import frame W-1, which stands with the plain solve, and the demo pumps beside them."""

import sys
from pathlib import Path

for folder in (Path(__file__).parent, Path(__file__).parents[2] / "independent"):
    if str(folder) not in sys.path:
        sys.path.insert(0, str(folder))
