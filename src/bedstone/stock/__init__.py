"""A stock of bridges: the same questions of all of them, and which one needs a visit first."""
