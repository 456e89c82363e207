"""AASHTO LRFD: actions, combinations and bearing rules."""
