"""Is what no placement keeps told in few words, each with its place in the file?"""

from __future__ import annotations

import pytest
from tests.faces.cli.typed import typed

LABS = "tests/labs/placing"


@pytest.mark.parametrize(
    ("name", "said", "mend"),
    [
        (
            "bad-big",
            ["3 hosts with 48 GiB for copies in all, 16 GiB at the most on one", "whale takes 24 GiB (9:28)"],
            "mend whale with 12 GiB instead of 24 GiB",
        ),
        (
            "bad-torn",
            ["index away from mail, not in one node (13:16)", "mail beside index, in one node (10:13)"],
            "No three changes that were tried would do.",
        ),
        (
            "bad-pins",
            [
                "3 hosts with 48 GiB for copies in all, 16 GiB at the most on one",
                "plans can only run on h1 (10:43)",
                "bills can only run on h1 (11:43)",
                "plans takes 12 GiB (10:28)",
                "bills takes 12 GiB (11:28)",
            ],
            "mend half as much memory again in every host, 8 GiB more in h1",
        ),
        (
            "bad-placed",
            [
                "2 hosts with 32 GiB for copies in all, 16 GiB at the most on one",
                "mail takes 12 GiB (8:40)",
                "plans takes 12 GiB (9:40)",
                "bills takes 12 GiB (10:40)",
            ],
            "mend half as much memory again in every host, 8 GiB more in h1",
        ),
        (
            "bad-crowd",
            ["no two copies of state in one enclosure: 3 copies for 2 (9:12)"],
            "mend keep copies of state apart by node only (`apart: node`)",
        ),
    ],
)
def test_a_contradiction_is_told_with_its_places(name, said, mend):
    """A copy that fits nowhere, company that can't be kept, pins that are too much: a smallest set, then what would do."""
    path = f"{LABS}/{name}.yaml"
    answer = typed("place", path, "--seconds", "60", COLUMNS="250")
    lines = [" ".join(line.split()).replace(f"({path}:", "(") for line in answer.out.splitlines()]
    assert answer.status == 1
    assert lines[0].endswith("the copies can't be placed by the rules of the lab")
    assert lines[1] == "These contradict each other, and no fewer of them do:"
    assert sorted(lines[2 : 2 + len(said)]) == sorted(said)
    assert lines[2 + len(said)] == mend


def test_without_machines_that_is_what_is_told():
    """All hosts out: no host is left, and nothing that was tried would do."""
    answer = typed("place", f"{LABS}/bad-placed.yaml", "--out", "h1", "--out", "h2")
    assert answer.status == 1
    assert "no host is left that could take them" in answer.out
