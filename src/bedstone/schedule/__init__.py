"""Combinations of actions and the schedule of bearings that comes out of them."""
