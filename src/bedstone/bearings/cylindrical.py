"""Cylindrical bearing: turns about y' on a cylindrical sheet, slides on a flat one."""

from bedstone.bearings.spherical_kind import CurvedKind

KIND = CurvedKind("cylindrical")
