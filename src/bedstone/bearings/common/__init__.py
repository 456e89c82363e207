"""What kinds of bearings share: materials, practical series, the plate on its seat."""
