"""The bearings of a bridge as IFC 4.3, and back: needs the extra ``ifc`` (IfcOpenShell)."""

from bedstone.output.ifc.read import ReadBearing, read_arrangement, read_bearings
from bedstone.output.ifc.write import bridge_model

__all__ = ["ReadBearing", "bridge_model", "read_arrangement", "read_bearings"]
