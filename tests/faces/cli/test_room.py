"""Does `falsework room` say plainly what fits, what does not and by how much, and end with the right status?"""

import pytest
from tests.faces.cli.typed import MENDED, SHELF, typed

TRAP = "tests/labs/traps/11-fragmented-room"


def test_it_says_first_what_does_not_fit():
    """The first line names loss, copy and pool; the lines below by how much, what helps, and where."""
    said = typed("room", f"{TRAP}/base.yaml", "--lose", "h4")
    assert said.status == 1
    assert said.out.splitlines()[0] == "Room in pieces: without h4 big.1 finds no room in cluster"
    assert "90 GiB are left in all, but in pieces: the largest hole is 30 GiB, 10 GiB too little" in said.out
    assert "moving copies that still run would not help either" in said.out
    assert "give h1 10 GiB of memory more" in said.out
    assert f"{TRAP}/base.yaml:13:48" in said.out


def test_it_says_where_each_copy_goes():
    """The observatory has room with any twin gone, and each restart is listed with its host."""
    said = typed("room", MENDED)
    assert said.status == 0
    assert "every copy finds room without any one of twin-1, twin-2 and twin-3" in said.out
    assert "mail.1 on twin-3.b" in said.out
    assert "make sure that a copy you have restored from exists elsewhere" in said.out


def test_sizes_that_are_asked_for_are_counted():
    """With --add the answer says how many more of that size fit, and on which hosts."""
    said = typed("room", MENDED, "--add", "30 GiB")
    assert "30 GiB (on twin-" in said.out


def test_a_lab_without_pools_and_stores_has_nothing_to_look_at():
    """The kitchen shelf says so, and all is well."""
    said = typed("room", SHELF)
    assert (said.status, said.err) == (0, "")
    assert said.out == "Kitchen shelf: no pool and no store, so there is no room to look at\n"


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--lose", "nodes"), "Did you mean 'node'"),
        (("--lose", "twin-9"), "no part is called 'twin-9'"),
        (("--lose", "mail"), "'mail' is no part that can be lost"),
        (("--add", "much"), "is no size of a copy"),
        (("--add", "0 cores"), "is no size of a copy"),
        (("--add", "4 GiB 4 GiB"), "is no size of a copy"),
    ],
)
def test_a_wrong_question_is_told_with_a_mend(words, says):
    """A name or size that means nothing ends with status 2, says what and how to mend it, and prints no answer."""
    said = typed("room", MENDED, *words)
    assert (said.status, said.out) == (2, "")
    assert says in said.err
    assert said.err.count("\n") == 1
