"""Arrangements compared, forces shared, faults tried: what the choice of bearings decides."""
