"""Let the tests of this folder share the bridges and bearings in `scenes`."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
