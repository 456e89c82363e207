"""From the bridge file to a frame: nodes, members, masses, stages and the loads on them."""
