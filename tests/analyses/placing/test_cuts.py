"""Is what a broken aim asks of all placements true of all, and is a guess told from a proof?"""

from __future__ import annotations

from random import Random

import pytest
import yaml
from tests.analyses.placing.looking import hold_cuts, looked
from tests.analyses.placing.small_labs import invented, lab_of
from tests.lengths import many

from falsework.analyses.placing.cuts import cut
from falsework.errors import LabError
from falsework.model.rehoused import rehoused
from falsework.support.standing import Standing

SEEDS = [
    *range(5000, 5005),
    *(pytest.param(seed, marks=pytest.mark.slow) for seed in range(5005, 5000 + many(40, at_length=400))),
]


def narrow(random: Random) -> str:
    """A small lab with little room, and aims that lose cables, or two parts at once."""
    data = yaml.safe_load(invented(random))
    for aim in data["aims"].values():
        if "lose" in aim and random.random() < 0.5:
            aim["at once"] = 2
        if "lose" in aim and "wire" in data and random.random() < 0.5:
            aim["lose"] = "cable"
    for service in data["services"].values():
        if service.get("on") == "herd":
            service["takes"] = random.choice(("2 GiB", "3 GiB", "4 GiB"))
    for machine in (*data["machines"].values(), data["kinds"]["sled"]):
        if machine["is"] == "node":
            machine["memory"] = random.choice(("4 GiB", "6 GiB"))
    return str(yaml.safe_dump(data, sort_keys=False))


@pytest.mark.parametrize("seed", SEEDS)
@pytest.mark.slow
def test_what_is_certain_is_true_of_every_placement(seed):
    """No placement that meets the aim breaks what it is said to ask for certain."""
    try:
        lab = lab_of(narrow(Random(seed)))
    except LabError:
        return  # more parts at once than there are
    hold_cuts(looked(lab))


@pytest.mark.slow
def test_guesses_and_proofs_are_both_made():
    """Where copies find no room it is a guess; where only the loss counts, a proof."""
    kinds = set()
    for seed in range(5000, 5012):
        try:
            at = looked(lab_of(narrow(Random(seed))))
        except LabError:
            continue
        for host_of, results in at.all[:6]:
            for aim in results:
                if aim.met is False:
                    found = cut(at.asked, Standing(rehoused(at.lab, host_of)), at.bins(host_of), aim)
                    kinds.add(found and found.certain)
    assert {True, False} <= kinds
