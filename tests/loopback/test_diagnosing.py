"""Is a part that is really broken named first, from what the stopwatch shows?"""

from pathlib import Path
from random import Random

import pytest
from tests.loopback.breaking import breaking
from tests.loopback.yard import calmly

pytestmark = pytest.mark.slow


@calmly
def test_the_part_that_is_broken_is_named_first(tmp_path: Path) -> None:
    """A few parts of a lab of machines and switches, drawn at random; benchmarks/loopback.py breaks a hundred."""
    with breaking(tmp_path) as lab:
        assert len(lab.alike()) >= 8
        random = Random(1)
        trials = [lab.trial(lab.drawn(random)) for _ in range(4)]
        assert [
            (each.broken, each.failing, each.diagnosis.causes[0].parts) for each in trials if not each.found
        ] == []
