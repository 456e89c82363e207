"""Stiffness, condensation to the seats and the solves on them; knows no code and no file."""
