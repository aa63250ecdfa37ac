"""Is everything that can be lost told with what it does, and with the aims that it breaks?"""

from falsework.analyses.aims.breaking import breaking
from falsework.analyses.aims.judge import judge_aims
from falsework.analyses.failures import causes, failures
from falsework.analyses.order import replay
from falsework.analyses.pairs import all_pairs, singles
from falsework.analyses.verdicts import lose
from falsework.lab.read import read_text
from falsework.model.build import build
from falsework.support.standing import Standing

LAB = """
falsework: 1
lab: losses
machines:
  a: {is: node, fed by: strip, drives: {d: {batch: k7}}}
  b: {is: node, fed by: strip, drives: {d: {batch: k7}}}
  c: {is: node, drives: {d: {batch: k8}}}
power:
  strip: {is: strip}
services:
  twice: {on: [a, b]}
  once: {on: c}
  moves: {on: [a, b], takes over: 2 min}
aims:
  any node: {lose: node, at most: blinks}
  the strip: {lose: strip, at most: stands, of: once}
  quick: {lose: node, at most: blinks, of: moves, blinks under: 1 min}
  two: {lose: node, at once: 2, at most: blinks}
"""


def standing(text=LAB):
    """A lab, ready to be asked."""
    return Standing(build(read_text(text, "losses.yaml")))


def alone(lab):
    """Every single loss."""
    return singles(lab, all_pairs(lab))


def test_every_part_is_told_once_with_its_verdicts():
    """Each part is in one group, and the group's verdicts are those of losing it."""
    lab = standing()
    table = alone(lab)
    found = failures(lab, table)
    groups = {loss: each.verdicts for each in found.alike for loss in each.losses}
    assert sorted(groups) == sorted((*lab.parts, "batch k7"))
    for column, part in enumerate(table.parts):
        assert groups[part] == tuple(table.verdicts[:, column].tolist())
        assert found.words[part] == lab.support.things[part].word


def test_a_batch_is_lost_together():
    """A cause that several parts share takes all of them; one that only one part has is no cause."""
    lab = standing()
    found = failures(lab, alone(lab))
    assert found.members == {"batch k7": ("a.d", "b.d")}
    assert found.words["batch k7"] == "batch"
    groups = {loss: each.verdicts for each in found.alike for loss in each.losses}
    expected = [min(effect.verdict, 4) for effect in lose(lab, ("a.d", "b.d"), thin=False).effects]
    assert list(groups["batch k7"]) == expected
    assert "batch k7" not in causes(Standing(lab.lab, out=["a.d"]))


def test_every_loss_that_breaks_an_aim_is_named():
    """Not only the worst: each node that an aim about nodes can't spare, and nothing that an aim doesn't speak of."""
    lab = standing()
    found = breaking(lab, alone(lab))
    assert found["c"] == ("any node",)
    assert "strip" not in found
    assert "c.d" not in found


def test_an_aim_about_time_looks_at_times():
    """An interruption that is too long breaks an aim that a short one would not."""
    found = breaking(standing(), alone(standing()))
    assert found["a"] == ("quick",)


def test_the_witness_of_a_broken_aim_is_among_them():
    """Whatever the check shows as breaking an aim about one loss breaks it here, and a met aim is broken by nothing."""
    lab = standing()
    table = alone(lab)
    found = breaking(lab, table)
    for result in judge_aims(lab, table, replay(lab.lab, standing=lab), None):
        named = [part for part, aims in found.items() if result.name in aims]
        if result.witness is not None and len(result.witness.lost) == 1:
            assert result.witness.lost[0] in named
        if result.met:
            assert named == []


def test_verdicts_are_plain_numbers():
    """Groups hold numbers that any process can be handed."""
    found = failures(standing(), alone(standing()))
    assert {type(each) for one in found.alike for each in one.verdicts} == {int}
