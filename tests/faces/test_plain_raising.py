"""Does the answer on raising fit its schema, whatever it says?"""

from dataclasses import replace

import pytest
from tests.faces.handmade_raising import fragile, plan, schedule, shed, stuck
from tests.faces.test_plain import valid

from falsework.faces.plain_raising import raise_answer


@pytest.mark.parametrize("dated", [None, schedule()])
def test_an_order_as_its_schema_says(dated):
    """Every step, moment and slot is there once, in order, with its figures."""
    answer = valid(raise_answer(shed(), plan(), fragile(), dated, 0))
    assert [each["number"] for each in answer["steps"]] == list(range(1, 11))
    assert [each["step"] for each in answer["moments"]] == list(range(11))
    assert answer["stand_ins"] == {"used": ["laptop"], "cost_s": 7200.0, "bound_s": 7200.0, "proven": True}
    assert answer["steps"][6]["owners"] == {"zones": "names", "installer": "laptop"}
    assert answer["steps"][5]["moves"][0]["size_bytes"] == 1024**3
    assert answer["steps"][3]["not_before"] == "2026-12-07"
    assert (answer["calendar"] is None) == (dated is None)
    if dated is not None:
        assert [each["step"] for each in answer["calendar"]["slots"]] == list(range(1, 11))
        assert answer["calendar"]["slots"][0]["begins"] == "2026-12-04T19:00:00"


def test_what_is_built_is_told_once():
    """A moment tells what came with its step; all moments together tell everything."""
    answer = raise_answer(shed(), plan(), fragile(), None, 0)
    built = [name for moment in answer["moments"] for name in moment["built"]]
    assert sorted(built) == sorted(plan().moments[-1].built)
    assert answer["moments"][4]["built"] == ["desk-1"]


def test_what_can_not_be_raised():
    """The circle and what would do are told; there are no steps and no fragile stretch."""
    answer = valid(raise_answer(shed(), stuck(), (), None, 1))
    assert answer["stuck"]["circle"] == ["installer", "desk-1", "installer"]
    assert answer["stuck"]["would_do"] == ["installer", "desk-1"]
    assert answer["steps"] == []
    assert answer["fragile_stretch"] is None
    assert not answer["stand_ins"]["proven"]


def test_a_step_written_by_hand_has_its_place():
    """Where a step stands in the lab file is told."""
    where = shed().lab.where
    step = replace(plan().steps[0], where=where)
    answer = valid(raise_answer(shed(), replace(plan(), steps=(step,)), (), None, 0))
    assert answer["steps"][0]["where"] == {"file": where.file, "line": where.line, "column": where.column}
