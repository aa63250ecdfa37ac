"""Settings that every test shares."""

import os

from hypothesis import HealthCheck, settings

settings.register_profile(
    "falsework",
    deadline=None,  # a slow machine is no failure
    suppress_health_check=[HealthCheck.too_slow],  # for the same reason
    derandomize=bool(os.environ.get("CI")),  # the same change gets the same answer
)
settings.load_profile("falsework")
