"""What the bearings of a bridge carry, and what each abutment and pier takes.

This module stays light: it imports none of the rooms, so that ``import bedstone``
costs nothing. Import what you need from the rooms themselves, for example
``from bedstone.bridge import ...``.
"""

from typing import Final

__all__ = ["__version__"]

__version__: Final = "0.1.0"
