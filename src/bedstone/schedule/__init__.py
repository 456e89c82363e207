"""From combinations to the schedule of bearings."""
