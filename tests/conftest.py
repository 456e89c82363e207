"""Settings shared by all tests.

Property tests run the same examples every time (profile "ci"), so that a failure on one
machine is a failure on all. ``HYPOTHESIS_PROFILE=dev`` searches with new examples instead.
"""

import os

from hypothesis import HealthCheck, settings

settings.register_profile(
    "ci",
    derandomize=True,
    deadline=None,
    print_blob=True,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.register_profile("dev", deadline=None, max_examples=300)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "ci"))
