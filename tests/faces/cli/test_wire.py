"""What does `falsework wire` say, and what does it refuse?"""

import csv

import pytest
from tests.faces.cli.typed import DRAFT, MENDED, SHELF, typed

pytestmark = pytest.mark.slow

TRAPS = "tests/labs/traps"


def test_the_mended_observatory_is_sound():
    """All traffic gets through; what a loss cuts off is one quiet line, and the exit status is 0."""
    said = typed("wire", MENDED)
    assert said.status == 0
    assert "all traffic gets through" in said.out.splitlines()[0]
    assert "BROKEN" not in said.out
    assert "a matter of the verdicts" in said.out


def test_the_limit_of_one_port_is_told_with_its_mend():
    """Trap 5: no way of plugging in survives, one second port would do."""
    said = typed("wire", f"{TRAPS}/05-one-port-voters/base.yaml")
    assert "however its 5 machines with one port are spread over sw-1 and sw-2" in said.out
    assert "give 1 of these machines a second port, into another switch, or add 1 switch" in said.out


def test_controllers_that_only_their_own_machines_lead_to():
    """Trap 10: when h1 is lost, and while the machines are off."""
    said = typed("wire", f"{TRAPS}/10-way-to-the-controllers/base.yaml")
    assert (
        "lose h1: no controller can be reached (2 stand), since router passes traffic on to care" in said.out
    )
    assert "while the machines are off, as at a cold start, no controller can be reached" in said.out


def test_a_pair_on_one_card():
    """Trap 4b: the card, and that it cuts the machine off."""
    said = typed("wire", f"{TRAPS}/04-link-pair/base-b.yaml")
    assert "carries nothing without n1.card" in said.out
    assert "all its ports are on one card, n1.card; cut off then" in said.out


def test_a_circle_that_nothing_cuts_is_broken(tmp_path):
    """It ends with 1."""
    lab = tmp_path / "lab.yaml"
    lab.write_text(
        "falsework: 1\nlab: x\nmachines: {s1..3: {is: switch, ports: 4, loops cut by: nothing}}\n"
        "wire: {cables: [s1 -- s2, s2 -- s3, s3 -- s1]}\n"
    )
    said = typed("wire", str(lab))
    assert said.status == 1
    assert "is a circle of switches that nothing cuts" in said.out


def test_a_lab_without_cables_says_so():
    """Nothing else is to be told."""
    said = typed("wire", f"{TRAPS}/01-enclosure-quorum/base.yaml")
    assert said.status == 0
    assert "no cable is described" in said.out


def test_controllers_that_nothing_leads_to(tmp_path):
    """A router that joins a network into which no machine of it is plugged."""
    lab = tmp_path / "lab.yaml"
    lab.write_text(
        "falsework: 1\nlab: x\n"
        "machines:\n  h: {is: node, ports: {a: 1 Gb/s, c: 1 Gb/s}, controller: c}\n  s1..2: {is: switch, ports: 4}\n"
        "wire:\n  cables: [h.a -- s1, h.c -- s2]\n  networks: {house: {over: s1}, care: {over: s2}}\n"
        "services: {router: {on: h, joins: [house, care]}}\n"
    )
    said = typed("wire", str(lab))
    assert "no management controller can be reached, with nothing lost, since router joins care" in said.out


def test_the_list_of_cables(tmp_path):
    """A row for each cable under a head; the picture beside it."""
    said = typed("wire", SHELF, "--cables", str(tmp_path / "c.csv"), "--picture", str(tmp_path / "p.svg"))
    assert "The cable list is in" in said.out
    with (tmp_path / "c.csv").open(newline="") as stream:
        assert len(list(csv.reader(stream))) == 4
    assert (tmp_path / "p.svg").read_text().startswith("<svg")


def test_between_two_things():
    """What gets through now, and after each loss."""
    said = typed("wire", DRAFT, "--from", "twin-1.a", "--to", "keep.x")
    assert "from twin-1.a to keep.x" in said.out
    assert "ways" in said.out


@pytest.mark.parametrize(
    ("words", "message"),
    [
        (("--from", "twin-1.a"), "only one end of a way is named. Name both: --from and --to."),
        (("--from", "twin-1.a", "--to", "nobody"), "nobody"),
        (("--from", "twin-1.a", "--to", "twin-1.a"), "the same machine"),
        (("--lose", "sw-9"), "no part is called 'sw-9'"),
        (("--cables", "no/such/folder/c.csv"), "cannot be written"),
    ],
)
def test_what_it_refuses(words, message):
    """With exit status 2, what is wrong and how to mend it."""
    said = typed("wire", DRAFT, *words)
    assert said.status == 2
    assert message in said.err
    assert "defect" not in said.err
