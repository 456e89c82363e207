"""Drawings: pictures made by pure functions, written as DXF and as SVG from the same picture."""
