"""Settings that every test shares."""

import os
import time

import pytest
from hypothesis import HealthCheck, settings

settings.register_profile(
    "falsework",
    deadline=None,  # a slow machine is no failure
    suppress_health_check=[HealthCheck.too_slow],  # for the same reason
    # The same change gets the same answer, whoever asks; with FALSEWORK_RANDOM=1 new examples are drawn each time.
    derandomize=not os.environ.get("FALSEWORK_RANDOM"),
)
settings.load_profile("falsework")
QUICK = bool(os.environ.get("FALSEWORK_QUICK"))


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """In the quick run a property is tried on a quarter of its examples; the whole run tries them all."""
    seen: set[int] = set()
    for item in items if QUICK else ():
        test = getattr(item, "obj", None)
        test = getattr(test, "__func__", test)
        given = getattr(test, "_hypothesis_internal_use_settings", None)  # there is no public way to scale
        if given is not None and id(test) not in seen:
            seen.add(id(test))
            fewer = max(given.max_examples // 4, 5)
            test._hypothesis_internal_use_settings = settings(given, max_examples=fewer)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say how long ./test took from its start; pytest's own count must stay the last line."""
    if began := os.environ.get("FALSEWORK_TEST_BEGAN"):
        terminalreporter.write_line(f"== {time.time() - int(began):.0f} s in all")
