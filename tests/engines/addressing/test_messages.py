"""Is an answer as long as another implementation makes it?"""

import dns.flags
import dns.message
import dns.rrset
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.engines.addressing.messages import LONGEST_MESSAGE, answer_octets

TEST = settings(deadline=None, max_examples=40)
NAMES = st.lists(st.text("abc-1", min_size=1, max_size=30), min_size=1, max_size=5).map(".".join)


def octets(name, addresses, version):
    """The length on the wire, as the other library writes it."""
    kind = "A" if version == 4 else "AAAA"
    asked = dns.message.make_query(f"{name}.", kind)
    answer = dns.message.make_response(asked)
    if addresses:
        answer.answer.append(dns.rrset.from_text(f"{name}.", 3600, "IN", kind, *addresses))
    return len(answer.to_wire())


@given(NAMES, st.integers(0, 20), st.sampled_from((4, 6)))
@TEST
def test_the_length_is_that_on_the_wire(name, count, version):
    """For any name and number of addresses of either version."""
    addresses = [f"10.0.0.{at}" if version == 4 else f"fd00::{at}" for at in range(1, count + 1)]
    assert answer_octets(name, count, version) == octets(name, addresses, version)


@pytest.mark.parametrize(("version", "most"), [(4, 29), (6, 17)])
def test_a_message_has_512_octets(version, most):
    """So many addresses of files.home.arpa fit, and not one more. Source: RFC 1035, section 2.3.4 (G13)."""
    assert LONGEST_MESSAGE == 512
    assert answer_octets("files.home.arpa", most, version) <= 512
    assert answer_octets("files.home.arpa", most + 1, version) > 512
