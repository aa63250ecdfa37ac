"""Where items are put that are nowhere yet."""

from hypothesis import given, settings
from tests.engines.placing.problems import plain, problems

from falsework.engines.placing.problem import NOWHERE, AtMost
from falsework.engines.placing.start import start


@settings(max_examples=40)
@given(problem=problems())
def test_everything_lies_somewhere_and_nothing_is_moved(problem):
    """Each item has a bin then, and who had one has the same."""
    found = start(problem)
    assert (found != NOWHERE).all()
    had = problem.start != NOWHERE
    assert (found[had] == problem.start[had]).all()


def test_one_loss_takes_as_little_as_can_be():
    """Two that should not both lie in the roomy bins do not, though the third is fuller."""
    rule = AtMost(name="both", items=(0, 1), bins=(0, 1), most=1, level=2)
    problem = plain([[1], [1]], [[9], [9], [3]], at_most=(rule,))
    assert sorted(start(problem).tolist())[-1] == 2
