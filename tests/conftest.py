"""Settings that every test shares."""

import os
import time

import pytest
from hypothesis import HealthCheck, settings

settings.register_profile(
    "falsework",
    deadline=None,  # a slow machine is no failure
    suppress_health_check=[HealthCheck.too_slow],  # for the same reason
    derandomize=bool(os.environ.get("CI")),  # the same change gets the same answer
)
settings.load_profile("falsework")


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say how long ./test took from its start; pytest's own count must stay the last line."""
    if began := os.environ.get("FALSEWORK_TEST_BEGAN"):
        terminalreporter.write_line(f"== {time.time() - int(began):.0f} s in all")
