"""Pot on a slide: a pot below, a plate of its own with the sliding sheet above."""

from bedstone.bearings.pot import PotKind

KIND = PotKind("pot on slide")
