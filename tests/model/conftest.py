"""Let the tests of this folder share the bridges in `girder_cases`."""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent))
