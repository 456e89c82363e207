"""IRC:6 loads on road bridges: actions, combinations, friction and sharing of forces."""

from bedstone.standards.irc.choices import CHOICES
from bedstone.standards.irc.family import FAMILY

__all__ = ["CHOICES", "FAMILY"]
