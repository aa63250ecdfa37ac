from __future__ import annotations

from dataclasses import replace

from tests.faces.handmade_placing import GIB, MOVES, move, placing, six

from falsework.analyses.placing.strides import shown, strides, unknown


def test_a_copy_of_which_nobody_says_where_it_runs_is_no_step():
    """It is told apart; one that was stopped before is a step all the same."""
    assert unknown(placing()) == ("rota.1",)
    assert shown(placing()) == MOVES[1:]
    assert [each.number for each in strides(six(), placing())] == [1, 2, 3, 4, 5, 6]


def test_free_memory_is_what_the_steps_before_have_left():
    """Before step 5 box-1.b holds rota.1 alone, since mail.2 was stopped; before step 2 box-2.a holds pages.2."""
    free = [each.free and each.free / GIB for each in strides(six(), placing())]
    assert free == [16, 18, 10, None, 22, 24]


def test_memory_and_disk_are_told_apart():
    """Of files.1 4 GiB are memory, 40 GiB disk."""
    step = strides(six(), placing())[1]
    assert (step.takes, step.disk) == (4 * GIB, 40 * GIB)


def test_siblings_that_run_then():
    """Not the copy itself, and none that is stopped."""
    steps = strides(six(), placing())
    assert steps[0].beside == ("pages.2", "pages.3")
    stopped = placing(
        moves=(move("mail.2", "box-1.b", "", last=False), move("mail.1", "box-1.a", "box-2.a", size=8))
    )
    assert strides(six(), stopped)[1].beside == ()


def test_what_is_down_with_its_host_starts_elsewhere():
    """It is a step although it runs nowhere, and no sibling until then."""
    first, second = (
        replace(move(copy, "", end), was="desk-2")
        for copy, end in (("pages.1", "box-1.a"), ("pages.3", "desk-1"))
    )
    steps = strides(six(), placing(moves=(first, second)))
    assert [each.move.copy for each in steps] == ["pages.1", "pages.3"]
    assert [each.beside for each in steps] == [("pages.2",), ("pages.1", "pages.2")]
    assert unknown(placing(moves=(first, second))) == ()


def test_a_stop_knows_what_ends_it_and_a_start_what_began_it():
    """And from where its disk comes."""
    steps = strides(six(), placing())
    assert (steps[3].returns, steps[5].stopped, steps[5].source) == (6, 4, "box-1.b")
    again = placing(moves=(*MOVES[:-1], move("mail.2", "", "box-2.b", size=5)))
    last = strides(six(), again)[-1]
    assert (last.disk, last.source) == (5 * GIB, "box-1.b")


def test_the_way_back_is_open_until_somebody_else_comes():
    """Step 6 takes the place that step 3 left; nobody takes that of step 1."""
    steps = strides(six(), placing())
    assert steps[2].filled == 6
    assert steps[0].filled is None


def test_the_slower_port_counts_and_one_that_nobody_gave_is_assumed():
    """A sled's is said, a desk's is not."""
    steps = strides(six(), placing())
    assert (steps[1].slowest, steps[1].assumed, steps[1].speed) == ("box-1.a", False, 1e9)
    assert (steps[4].slowest, steps[4].assumed) == ("desk-1", True)


def test_a_host_of_which_nobody_says_how_much_it_has():
    """No figure, no need of one."""
    bare = replace(placing(), filled=tuple(replace(each, has={}) for each in placing().filled))
    assert {each.free for each in strides(six(), bare)} == {None}
