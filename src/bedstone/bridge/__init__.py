"""The bridge file: what an engineer writes down about a bridge, with units, checked."""
