"""Eurocodes: actions on road and rail bridges, their combinations, and friction of bearings."""

from bedstone.standards.eurocode.choices import CHOICES
from bedstone.standards.eurocode.family import FAMILY

__all__ = ["CHOICES", "FAMILY"]
