"""Arrangements of bearings: stability, enumeration, comparison, sharing of forces, what-if."""
