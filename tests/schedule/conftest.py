"""Let the tests of this folder share the bridges of tests/actions and tests/model."""

import sys
from pathlib import Path

TESTS = Path(__file__).parent.parent
for folder in (TESTS / "actions", TESTS / "model"):
    if str(folder) not in sys.path:
        sys.path.insert(0, str(folder))
