"""Let the tests of this folder share bridges and bearings with their neighbours."""

import importlib.util
import sys
from pathlib import Path

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE.parent), str(HERE.parent / "drawing")]

# an extra: without it there is nothing to test here
collect_ignore_glob = [] if importlib.util.find_spec("ifcopenshell") else ["test_*.py"]
