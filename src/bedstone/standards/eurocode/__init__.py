"""The Eurocodes and EN 1337: actions, combinations and bearing rules."""
