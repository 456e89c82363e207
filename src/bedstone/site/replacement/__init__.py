"""Replacement of bearings: a bridge lifted free of some, and what that does to the rest."""

from bedstone.site.replacement.lift import replacement
from bedstone.site.replacement.result import Lift

__all__ = ["Lift", "replacement"]
