"""Are hosts text and CSV read back as they were meant?"""

import csv
import io
import ipaddress

from hypothesis import given, settings
from tests.address_labs import address_labs, lab

from falsework.analyses.addresses import addresses
from falsework.errors import LabError
from falsework.faces.host_list import COLUMNS, csv_text, hosts_text

TEST = settings(deadline=None, max_examples=30)


def hosts(text):
    """The pairs of name and address in a hosts text, by a reader of its own."""
    found = set()
    for line in text.split("\n"):
        address, *names = line.partition("#")[0].split() or [""]
        if address:
            ipaddress.ip_address(address)
            found.update((name, address) for name in names)
    return found


@given(address_labs())
@TEST
def test_hosts_text_has_every_name(text):
    """Each name with each of its addresses, in full and without the domain; each address in one line."""
    try:
        plan = addresses(lab(text))
    except LabError:
        return
    said = hosts_text(plan)
    wanted = {(each.name, address) for each in plan.called for address in each.addresses}
    short = {(name.removesuffix(f".{plan.domain}"), address) for name, address in wanted}
    assert hosts(said) == wanted | short
    lines = [line.split()[0] for line in said.splitlines() if not line.startswith("#")]
    assert len(lines) == len(set(lines))


@given(address_labs())
@TEST
def test_the_list_is_read_back(text):
    """A row for each address, every cell as it was; lines end in CR LF. Source: RFC 4180, section 2."""
    try:
        plan = addresses(lab(text))
    except LabError:
        return
    said = csv_text(plan)
    assert said.endswith("\r\n")
    assert said.count("\n") == said.count("\r\n")
    head, *rows = csv.reader(io.StringIO(said, newline=""), strict=True)
    assert tuple(head) == COLUMNS
    read = [dict(zip(COLUMNS, row, strict=True)) for row in rows]
    assert [(each["network"], each["thing"], each["name"], each["address"]) for each in read] == [
        (each.network, each.thing, each.name, each.address) for each in plan.given
    ]
    for each in read:
        assert ipaddress.ip_address(each["address"]) in ipaddress.ip_network(each["subnet"])
