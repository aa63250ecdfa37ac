from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from tests.strategies import lab_of, texts

from falsework.engines.evaluate import Evaluator
from falsework.support.gates import BACK, Compiler
from falsework.support.graph import Lean, Role, Support
from falsework.support.looking import Looking
from falsework.support.standing import Standing


def seen_by_gates(standing, places, controllers, lost):
    """Those that stand and can't be seen, as the gates of the verdicts say."""
    things = dict(standing.support.things)
    for each in controllers:
        lean = Lean(on=(each,), enough=1, role=Role.NEED, seen=True)
        host = Lean(on=places, enough=1, role=Role.HOST)
        things[f"way to {each}"] = Support(
            id=f"way to {each}", word="look", leans=(lean, host), places=places
        )
    compiler = Compiler(replace(standing.support, things=things))
    rows = [compiler.thing(each, BACK) for each in controllers]
    rows += [compiler.thing(f"way to {each}", BACK) for each in controllers]
    graph = compiler.builder.freeze(rows)
    leaf = {name: row for row, name in enumerate(graph.leaf_names)}
    truth = Evaluator(graph).stands([[leaf[part] for part in parts if part in leaf] for parts in lost])
    count = len(controllers)
    return [
        tuple(
            each
            for row, each in enumerate(controllers)
            if truth[row, column] and not truth[count + row, column]
        )
        for column in range(len(lost))
    ]


@given(texts(theme="wire"))
@settings(deadline=None, max_examples=60)
def test_walking_the_wire_agrees_with_the_gates(text):
    """Who can be seen from a machine after each single loss is the same walked and in gates."""
    standing = Standing(lab_of(text))
    nodes = [name for name, thing in standing.support.things.items() if thing.word == "node"]
    plugged = {host for network in standing.support.networks.values() for host in network.attachments}
    nodes = [node for node in nodes if node in plugged]
    if len(nodes) < 2:
        return
    places, others = (nodes[0],), nodes[1:]
    looking = Looking(standing.support, others)
    lost = [(), *((part,) for part in standing.parts)]
    slow = seen_by_gates(standing, places, others, lost)
    for expected, view in zip(slow, standing.views(lost), strict=True):
        assert looking.unseen(view.back, places, {}) == expected
