"""From logs of a movement to a judgement of the bearing."""
