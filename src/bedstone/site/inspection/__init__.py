"""Inspection: what was read on the bearings, judged.

`inspect` holds each reading against what it should be, says what is left of the travel, re-checks
the bearing with its measured sizes, tells what the state found does to the abutments, names likely
causes with their numbers, and proposes a rating.
"""

from bedstone.site.inspection.inspect import inspect

__all__ = ["inspect"]
