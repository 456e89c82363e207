"""Let the tests of this folder share `decks` and `brute`, and the bridges of tests/model."""

import sys
from pathlib import Path

HERE = Path(__file__).parent
for folder in (HERE, HERE.parent / "model"):
    if str(folder) not in sys.path:
        sys.path.insert(0, str(folder))
