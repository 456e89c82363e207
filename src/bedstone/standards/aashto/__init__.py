"""AASHTO LRFD Bridge Design Specifications: actions, combinations and friction for bearings."""

from bedstone.standards.aashto.choices import CHOICES
from bedstone.standards.aashto.family import FAMILY

__all__ = ["CHOICES", "FAMILY"]
