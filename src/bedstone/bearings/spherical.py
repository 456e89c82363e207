"""Spherical bearing: turns about every axis on a spherical sheet, slides on a flat one."""

from bedstone.bearings.spherical_kind import CurvedKind

KIND = CurvedKind("spherical")
