"""Where copies run when the owner does not say."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from tests.model.texts import lab_of, told

TWINS = """
kinds: {sled: {is: node, memory: 32 GiB}, twin: {is: enclosure, holds: {a..b: sled}}}
machines: {t-1..3: twin}
pools: {cluster: t-*.*}
services:
"""


def hosts(text, service="mail"):
    """The hosts of a service's copies, in order."""
    lab = lab_of(text)
    return [each.host for each in lab.things.values() if each.IS == "copy" and each.service == service]


def test_copies_run_where_on_says():
    """Nodes that are as many as the copies have one each, in the order written."""
    assert hosts("machines: {n-1..3: node}\nservices: {mail: [n-3, n-1]}") == ["n-3", "n-1"]


def test_an_enclosure_stands_for_its_nodes():
    """`on` an enclosure is on each node in it."""
    assert hosts(TWINS + "  mail: t-2") == ["t-2.a", "t-2.b"]


def test_copies_on_a_pool_are_spread():
    """Three copies on three twins share neither a node nor an enclosure."""
    assert hosts(TWINS + "  mail: {on: cluster, copies: 3}") == ["t-1.a", "t-2.a", "t-3.a"]


def test_more_copies_than_enclosures_share_as_few_as_they_can():
    """Six copies on six nodes of three enclosures: every node one, every enclosure two."""
    assert sorted(hosts(TWINS + "  mail: {on: cluster, copies: 6}")) == [
        "t-1.a",
        "t-1.b",
        "t-2.a",
        "t-2.b",
        "t-3.a",
        "t-3.b",
    ]


def test_a_copy_goes_where_room_is():
    """Where nothing else tells hosts apart, the one with the most free memory is taken."""
    text = """
        machines: {n-1: {is: node, memory: 8 GiB}, n-2: {is: node, memory: 32 GiB}, n-3: {is: node, memory: 16 GiB}}
        pools: {p: n-*}
        services: {web: {on: p, takes: 20 GiB}, mail: {on: p, takes: 4 GiB}, files: {on: p, takes: 12 GiB}}
        """
    assert [hosts(text, name) for name in ("web", "mail", "files")] == [["n-2"], ["n-3"], ["n-2"]]


def test_what_was_chosen_is_an_assumption():
    """A place that the owner did not say is listed, and one that they said is not."""
    lab = lab_of(TWINS + "  mail: {on: cluster}\n  web: {on: cluster, placed: t-3.b}\n  names: t-1.a")
    placed = [each for each in lab.assumptions if each.key == "placed"]
    assert [(each.things, each.value) for each in placed] == [(("mail.1",), "mail.1 on t-1.a")]
    assert lab.things["web.1"].host == "t-3.b"
    assert (lab.things["web.1"].pool, lab.things["names.1"].pool) == ("cluster", "")


@pytest.mark.parametrize(
    ("service", "messages"),
    [
        (
            "mail: {on: cluster, copies: 2, placed: t-1.a}",
            [
                "lab.yaml:6:42 (services.mail.placed): `placed` names 1 hosts for 2 copies of 'mail'."
                " Name one host for each copy, each among those it may run on."
            ],
        ),
        (
            "mail: {on: cluster, placed: spare}",
            [
                "lab.yaml:6:31 (services.mail.placed): no node is called 'spare'."
                " Known: t-1.a, t-1.b, t-2.a, t-2.b, t-3.a, t-3.b."
            ],
        ),
        (
            "mail: {copies: 2}",
            [
                "lab.yaml:6:9 (services.mail): the key 'on' is missing."
                " Add on: the name of a node, pool or enclosure, a pattern such as desk-*, or a list."
            ],
        ),
        (
            "mail: {on: cluster, copies: 0}",
            ["lab.yaml:6:31 (services.mail.copies): found '0'. Write a whole number from 1 to 10,000."],
        ),
    ],
)
def test_places_without_sense_are_told(service, messages):
    """Each fault of a place has one whole message."""
    assert told(TWINS + f"  {service}") == messages


def test_a_pool_without_hosts_is_told_once():
    """Where a pool's hosts are not there, its services are no faults of their own."""
    text = "machines: {n: node}\npools: {p: m-*}\nservices: {a: p, b: {on: p, copies: 3}, c: {on: [p, n]}}"
    assert told(text) == ["lab.yaml:3:12 (pools.p.hosts): no node is called 'm-*'. Known: n."]


def test_an_empty_enclosure_hosts_nothing():
    """A service on a box without nodes is told so."""
    assert told("machines: {t: {is: enclosure}}\nservices: {mail: t}") == [
        "lab.yaml:3:18 (services.mail.on): nothing that 'mail' runs on is a node."
        " Name nodes, or a pool of nodes."
    ]


@given(
    st.lists(st.integers(1, 64), min_size=1, max_size=6),
    st.lists(st.tuples(st.integers(1, 5), st.integers(0, 8)), min_size=1, max_size=6),
)
def test_every_choice_was_the_best_at_its_time(memories, services):
    """Replayed with the plain rule - fewest copies of its own, then room, then most free memory, then order."""
    nodes = ", ".join(f"n-{number}: {{is: node, memory: {size} GiB}}" for number, size in enumerate(memories))
    wanted = "".join(
        f"  s{number}: {{on: p, copies: {copies}{f', takes: {size} GiB' if size else ''}}}\n"
        for number, (copies, size) in enumerate(services)
    )
    lab = lab_of(f"machines: {{{nodes}}}\npools: {{p: n-*}}\nservices:\n{wanted}")
    free = {f"n-{number}": float(size) for number, size in enumerate(memories)}
    for number, (copies, size) in enumerate(services):
        own = dict.fromkeys(free, 0)
        if len(free) == 1:
            continue
        for copy in range(copies):
            best = min(free, key=lambda host: (own[host], size > 0 and free[host] < size, -free[host]))
            assert lab.things[f"s{number}.{copy + 1}"].host == best
            own[best] += 1
            free[best] -= size


def test_a_copy_goes_only_where_what_it_wants_is():
    """Of the hosts of a pool only those that have all that a service wants take its copies."""
    text = """
        machines: {n-1: node, n-2: {is: node, has: [count licence, card]}, n-3: {is: node, has: card}}
        pools: {p: n-*}
        services: {web: {on: p, wants: [card, count licence]}, mail: {on: p, copies: 2, wants: card}}
        """
    assert hosts(text, "web") == ["n-2"]
    assert sorted(hosts(text, "mail")) == ["n-2", "n-3"]


def test_what_no_host_has_is_a_fault():
    """A service that wants what none of its hosts has is told where it says so."""
    text = "machines: {n-1: {is: node, has: cart}}\npools: {p: n-1}\nservices: {web: {on: p, wants: card}}"
    assert told(text) == [
        "lab.yaml:4:32 (services.web.wants): a copy of 'web' can run on nothing that has card. "
        "Say what a node has under its `has`, or let it run elsewhere."
    ]
