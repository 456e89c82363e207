"""Arrangements of bearings: what each of them holds, what is below, whether the bridge stands."""
