from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.faces.handmade_placing import placing
from tests.strategies import lab_of

from falsework.analyses.placing.writing import rewritten
from falsework.lab.read import read_text
from falsework.model.build import build
from falsework.model.services import Copy

HEAD = """falsework: 1
lab: Write back   # of mine
machines:
  h-1..3: {is: node, memory: 16 GiB}   # three of a kind
pools:
  cluster: {hosts: h-1..3}
services:
"""


def told(services: str, host_of: dict[str, str]):
    """What becomes of a lab with these services, and the lab."""
    lab = lab_of(HEAD + services)
    return rewritten(lab, replace(placing(), host_of=host_of)), lab


def added(difference: str) -> list[str]:
    """The lines that are new."""
    return [row[1:] for row in difference.splitlines() if row.startswith("+") and not row.startswith("+++")]


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("  mail: cluster   # in short\n", "  mail: {on: cluster, placed: h-3}   # in short"),
        ("  mail: [cluster]\n", "  mail: {on: [cluster], placed: h-3}"),
        ("  mail: {on: cluster}   # flow\n", "  mail: {on: cluster, placed: h-3}   # flow"),
        ("  mail: {on: cluster, placed: h-1}\n", "  mail: {on: cluster, placed: h-3}"),
        ("  mail:\n    on: cluster\n    placed: h-1   # since May\n    # the end\n", "    placed: h-3   # since May"),
        ("  mail:\n    on: cluster   # all\n\n", "    placed: h-3"),
        ("  'mail': cluster\n", "  'mail': {on: cluster, placed: h-3}"),
    ],
)  # fmt: skip
def test_one_line_changes_and_comments_stay(before, after):
    """However the service is written, one line says where its copy is, and all else is as it was."""
    found, lab = told(before, {"mail.1": "h-3"})
    assert found.left == ()
    assert added(found.difference) == [after]
    kept = found.files["lab.yaml"].splitlines()
    assert [row for row in lab.files["lab.yaml"].splitlines() if "#" in row and row not in kept] == [
        row for row in before.splitlines() if "placed: h-1   #" in row or ("#" in row and "mail:" in row)
    ]


def test_what_is_written_beside_each_host_stays():
    """Of a list only the hosts that change are written anew."""
    text = (
        "  two:\n    on: cluster\n    copies: 2\n    placed:\n      - h-1   # left\n      - h-2   # right\n"
    )
    found, _ = told(text, {"two.1": "h-1", "two.2": "h-3"})
    assert added(found.difference) == ["      - h-3   # right"]


def test_a_range_is_written_out():
    """`placed: h-1..2` becomes two names."""
    found, _ = told("  two: {on: cluster, copies: 2, placed: h-1..2}\n", {"two.1": "h-3", "two.2": "h-1"})
    assert added(found.difference) == ["  two: {on: cluster, copies: 2, placed: [h-3, h-1]}"]


def test_counted_services_in_one_entry():
    """All on the same host: one entry says it. Not so: each is told, with what to write, and the entry stays."""
    counted = "  web-1..2: {on: cluster}   # twins\n"
    same, _ = told(counted, {"web-1.1": "h-2", "web-2.1": "h-2"})
    assert added(same.difference) == ["  web-1..2: {on: cluster, placed: h-2}   # twins"]
    apart, _ = told(counted, {"web-1.1": "h-1", "web-2.1": "h-2"})
    assert not apart.files
    assert apart.difference == ""
    assert apart.left == (
        ("web-1", "one entry says it together with others; write them apart; say `placed: h-1`"),
        ("web-2", "one entry says it together with others; write them apart; say `placed: h-2`"),
    )


def test_what_the_file_says_already_is_not_written():
    """Neither a host that `placed` names nor one that `on` does."""
    found, _ = told("  mail: {on: cluster, placed: h-3}\n  web: h-2\n", {"mail.1": "h-3", "web.1": "h-2"})
    assert not found.files
    assert not found.left


def test_a_text_that_is_not_at_hand():
    """Told with what to write."""
    lab = replace(lab_of(HEAD + "  mail: cluster\n"), files={})
    found = rewritten(lab, replace(placing(), host_of={"mail.1": "h-2"}))
    assert found.left == (("mail", "its text is not at hand; say `placed: h-2`"),)


_ENTRY = st.sampled_from(
    (
        "  NAME: cluster\n",
        "  NAME: {on: cluster, copies: 2, apart: not}\n",
        "  NAME: {on: cluster, copies: 2, apart: not, placed: [h-1, h-1]}\n",
        "  NAME:\n    # why\n    on: cluster\n\n    placed: h-2   # here\n    takes: {memory: 1 GiB}\n",
        "  NAME:\n    on: [cluster]\n    copies: 3\n    placed:\n    - h-1\n    - h-2   # mine\n    - h-3\n",
        "  NAME-1..2: {on: cluster}\n",
    )
)


@settings(deadline=None, max_examples=40)
@given(st.lists(_ENTRY, min_size=1, max_size=4), st.data())
def test_the_lab_reads_back_with_every_copy_where_it_was_placed(entries, data):
    """What is not told to be done by hand is so in the new file."""
    text = HEAD + "".join(entry.replace("NAME", f"s{number}") for number, entry in enumerate(entries))
    lab = lab_of(text)
    copies = lab.of(Copy)
    hosts = st.sampled_from(("h-1", "h-2", "h-3"))
    host_of = {copy.id: data.draw(hosts) for copy in copies}
    found = rewritten(lab, replace(placing(), host_of=host_of))
    new = build(read_text(found.files.get("lab.yaml", text), "lab.yaml"))
    by_hand = {name for name, _ in found.left}
    for copy in new.of(Copy):
        if copy.service not in by_hand:
            assert copy.host == host_of[copy.id]
