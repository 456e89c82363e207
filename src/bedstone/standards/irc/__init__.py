"""The IRC codes: actions, combinations and bearing rules."""
