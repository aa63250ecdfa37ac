"""The best single way is as wide as its narrowest link."""

from __future__ import annotations

from hypothesis import given, settings
from tests.engines.flow.nets import joined, nets

from falsework.engines.flow.net import Link, Net
from falsework.engines.flow.widest import widest


def test_a_long_wide_way_beats_a_short_narrow_one():
    """Three over two links are better than two over one."""
    net = Net(
        links=(
            Link(name="short", one="s", other="t", carries=2),
            Link(name="out", one="s", other="x", carries=3),
            Link(name="in", one="x", other="t", carries=4),
        )
    )
    width, way = widest(net, "s", "t")
    assert (width, [link.name for link in way]) == (3, ["out", "in"])


def test_no_way_is_nothing():
    """Where nothing gets through the way is empty."""
    assert widest(Net(links=(Link(name="l", one="s", other="x", carries=1),)), "s", "t") == (0, ())


@given(nets())
@settings(max_examples=150)
def test_with_only_wider_links_and_vertices_there_is_no_way(net):
    """Its own links make the way and are wide enough; of what is wider alone none can be made."""
    width, way = widest(net, "0", "1")
    at = "0"
    for link in way:
        assert width <= link.carries
        assert width <= net.passes.get(at, width)
        at = link.across(at)
    assert at == ("1" if way else "0")
    narrow = {link.name for link in net.links if link.carries <= width}
    narrow |= {vertex for vertex, most in net.passes.items() if most <= width}
    assert not joined(net, "0", "1", frozenset(narrow))
