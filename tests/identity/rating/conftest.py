"""Lets the tests of this folder import the demo pumps and what the rating tests share."""

import sys
from pathlib import Path

TESTS = Path(__file__).parents[2]
for folder in (TESTS / "independent", TESTS / "identity" / "circulation", TESTS / "identity" / "rating"):
    if str(folder) not in sys.path:
        sys.path.insert(0, str(folder))
