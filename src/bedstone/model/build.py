"""One way in: from a bridge to its structure, whatever its superstructure."""

from __future__ import annotations

from bedstone.bridge.schema import Bridge, FrameTables, Girders, Truss
from bedstone.bridge.tables import FrameData
from bedstone.errors import BedstoneError
from bedstone.model.structure import Structure


def build(bridge: Bridge, tables: FrameData | None = None) -> Structure:
    """Build the structure of a bridge; `tables` are those of a given frame.

    Raises
    ------
    BedstoneError
        For given reactions, which have no model, and for a frame without its tables.
    InputError
        For input of which no structure can be made.
    """
    # each builder is imported when it is wanted: a bridge needs one of them
    superstructure = bridge.superstructure
    if isinstance(superstructure, Girders):
        from bedstone.model.girders import build_girders

        return build_girders(bridge)
    if isinstance(superstructure, Truss):
        from bedstone.model.truss import build_truss

        return build_truss(bridge)
    if isinstance(superstructure, FrameTables):
        from bedstone.model.tables import build_frame

        if tables is None:
            raise BedstoneError("a frame is built from its tables: read them first")
        return build_frame(bridge, tables)
    raise BedstoneError("given reactions have no model: there is no structure to build")
