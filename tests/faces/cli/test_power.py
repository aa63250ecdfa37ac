"""Does `falsework power` say plainly who carries how much, and end with the right status?"""

import pytest
from tests.faces.cli.typed import DRAFT, MENDED, typed

from falsework.findings.finding import POWER_CAUTION

pytestmark = pytest.mark.slow

TRAP = "tests/labs/traps/03-survivor-overload/base.yaml"
QUIET = "tests/labs/traps/01-enclosure-quorum/base.yaml"


def test_it_says_first_what_is_asked_for_too_much():
    """The first line names loss, source, watts and limit; the lines below how to mend it, and where."""
    said = typed("power", TRAP)
    assert (said.status, said.err) == (1, "")
    first, *rest = said.out.splitlines()
    assert first == (
        "The survivor trips: lose c2: c1 would have to carry 4,000 W and trips above 3,680 W;"
        " 1 more source is asked for too much"
    )
    assert "        mend  move machines off c1, or feed it from a stronger circuit" in rest
    assert f"        at    {TRAP}:6:10" in rest
    assert rest[-1].endswith(POWER_CAUTION)


@pytest.mark.parametrize("lab", [MENDED, DRAFT])
def test_both_observatories_carry_it(lab):
    """Each survives any loss of a feed; the battery is nearest to its limit, and what was taken is told."""
    said = typed("power", lab)
    assert (said.status, said.err) == (0, "")
    assert "battery is nearest to its limit" in said.out.splitlines()[0]
    assert "power factor 0.95" in said.out
    assert "local codes differ" in said.out
    assert POWER_CAUTION in said.out


def test_the_worst_loss_of_each_source_is_named():
    """B carries 942 W when c1 is lost; what no loss asks for more is said to be so."""
    rows = {row.split()[0]: row for row in typed("power", MENDED).out.splitlines() if row.startswith("  ")}
    assert rows["B"].endswith("942 W, 4.3 A, when c1 is lost")
    assert rows["H"].endswith("no more than now")


def test_losses_that_are_named():
    """With --lose each is told in a line: what trips, and which machines have too little power."""
    said = typed("power", TRAP, "--lose", "A")
    assert "lose A: c2 trips; n1, n2, n3, n4 and 4 more have too little power to run" in said.out
    assert (
        "lose attic.supply-1: attic has too little power to run"
        in typed("power", MENDED, "--lose", "attic.supply-1").out
    )
    assert "lose B: " in typed("power", MENDED, "--lose", "strip").out


def test_a_lab_without_power_says_so():
    """No source is told of: that is said, and all is well."""
    said = typed("power", QUIET)
    assert (said.status, said.err) == (0, "")
    assert said.out == (
        "Voters in one box: no circuit, strip or battery is told of, so there is nothing to carry anything\n"
    )


def test_what_is_out_beforehand():
    """With A out it is told in the first line, and A has no power as it is."""
    said = typed("power", MENDED, "--out", "A")
    assert "(with A, hide-3 out)" in said.out.splitlines()[0]
    assert any(
        row.split()[:1] == ["A"] and row.endswith("has no power as it is") for row in said.out.splitlines()
    )


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--lose", "strips"), "Did you mean 'strip'"),
        (("--lose", "c9"), "no part is called 'c9'"),
        (("--lose", "mail"), "'mail' is no part that can be lost"),
    ],
)
def test_a_wrong_question_is_told_with_a_mend(words, says):
    """A name that means nothing ends with status 2, says how to mend it, and prints no answer."""
    said = typed("power", MENDED, *words)
    assert (said.status, said.out) == (2, "")
    assert says in said.err


def test_a_picture(tmp_path):
    """The drawing has every source with its state, the caution, and one accent for what trips."""
    typed("power", TRAP, "--picture", tmp_path / "p.svg")
    drawn = (tmp_path / "p.svg").read_text()
    assert all(f'data-id="{name}"' in drawn for name in ("c1", "c2", "A", "B"))
    assert drawn.count('data-state="falls"') == 2
    assert "Defer to local electrical codes" in drawn
    assert 'class="s-brick"' in drawn
    typed("power", MENDED, "--picture", tmp_path / "m.svg")
    assert 'class="s-brick"' not in (tmp_path / "m.svg").read_text()
