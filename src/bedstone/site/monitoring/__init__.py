"""From logs of a movement to a judgement of the bearing.

`watch` is the way in: series and settings to judgements. Below it, each alone: `fit` (slope, lag,
sticking, drift, steps), `stops`, `travel`, `siblings`, `judge`.
"""

from bedstone.site.monitoring.watch import Watched, watch

__all__ = ["Watched", "watch"]
