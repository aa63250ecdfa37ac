from __future__ import annotations

import gc

import pytest

from falsework.engines.uncollected import uncollected


def test_the_collector_waits_and_comes_back():
    """Within, the collector is off; afterwards it is as it was, whatever happened."""
    assert gc.isenabled()
    with uncollected():
        assert not gc.isenabled()
        with uncollected():
            assert not gc.isenabled()
        assert not gc.isenabled()
    assert gc.isenabled()
    with pytest.raises(ValueError, match="broken"), uncollected():
        raise ValueError("broken")
    assert gc.isenabled()


def test_a_collector_that_was_off_stays_off():
    """Who has turned the collector off finds it off."""
    gc.disable()
    try:
        with uncollected():
            pass
        assert not gc.isenabled()
    finally:
        gc.enable()
