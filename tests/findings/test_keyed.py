"""Is a finding found again by its name, and told apart from all others of its lab?"""

from dataclasses import replace
from pathlib import Path

from falsework.findings.finding import Finding, Level
from falsework.findings.keyed import key
from falsework.where import Where

ONE = Finding(
    code="single point",
    level=Level.REMARK,
    says="lose strip A: mail falls",
    things=("strip A", "cable"),
    where=Where("labs/here.yaml", 4, 3),
)


def test_words_first():
    """The kind and the first thing in words, then six signs."""
    assert key(ONE).rpartition("-")[0] == "single-point-strip-a"
    assert len(key(ONE).rpartition("-")[2]) == 6


def test_what_it_hangs_on():
    """The kind, the things and the place tell it apart; its sentence, and the folder of the file, do not."""
    assert key(replace(ONE, says="lose strip A: all falls", services=("mail",))) == key(ONE)
    assert key(replace(ONE, where=Where(str(Path("/elsewhere") / "here.yaml"), 4, 3))) == key(ONE)
    others = (
        replace(ONE, code="trips"),
        replace(ONE, things=("strip A",)),
        replace(ONE, where=Where("labs/here.yaml", 5, 3)),
        replace(ONE, where=None),
    )
    assert len({key(each) for each in (ONE, *others)}) == 5


def test_two_slips_of_one_step():
    """Two slips of the same things in one step of an order are told apart by how they are mended."""
    slip = replace(ONE, code="order", mend="repoint mail before A is retired")
    assert key(slip) != key(replace(slip, mend="add repoints: mail before"))


def test_long_names_are_cut():
    """A name of any length gives a key that can be typed."""
    assert len(key(replace(ONE, things=("x" * 500,)))) <= 47
