"""What acts on a bridge: traffic, temperature, wind, braking, friction, settlement, stages."""
