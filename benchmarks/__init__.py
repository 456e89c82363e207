"""How long things take, as ratios measured in the same run: `python -m benchmarks [topic ...]`."""
