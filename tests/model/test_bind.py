"""References in records, bound to what they mean."""

import pytest
from tests.model.texts import lab_of, thing, told

POWER = "power: {s-1..2: {is: strip, outlets: 6}}\n"


def test_references_are_replaced_wherever_they_stand():
    """In keys, in lists of records, in records inside records: ids take the place of patterns."""
    text = """
        machines: {n-1..3: node}
        services:
          names: n-1
          mail: {on: n-*, needs: [names, {of: [n-1, n-2]}]}
        data: {letters: {of: mail, in: n-2, backed up: [{to: n-3, every: 1 day}]}}
        today: {out: [n-3]}
        aims: {one: {lose: n-*, of: mail}}
        order: [{do: begin, brings: [n-1..2]}]
        """
    lab = lab_of(text)
    assert lab.things["mail"].on.ids == ("n-1", "n-2", "n-3")
    assert lab.things["mail"].needs.run_and_start[1].of.ids == ("n-1", "n-2")
    assert lab.things["letters"].backed_up[0].to.ids == ("n-3",)
    assert lab.today.out[0].part.ids == ("n-3",)
    assert (lab.aims[0].name, lab.aims[0].lose.ids, lab.aims[0].of.ids) == (
        "one",
        ("n-1", "n-2", "n-3"),
        ("mail",),
    )
    assert lab.order[0].brings.ids == ("n-1", "n-2")


def test_a_bound_reference_knows_its_place():
    """What is bound keeps the place of the first reference."""
    assert thing("machines: {n: node}\nservices: {mail: {on: n}}", "mail").on.where.column == 23


def test_counters_choose_for_each_thing():
    """# in a reference is the counter of the thing at hand."""
    text = POWER + "machines: {n-1..2: {is: node, fed by: s-#}, m-1..2.1..2: {is: node, fed by: [s-#, s-##]}}"
    lab = lab_of(text)
    assert [lab.things[f"n-{number}"].fed_by.ids for number in (1, 2)] == [("s-1",), ("s-2",)]
    assert lab.things["m-1.2"].fed_by.ids == ("s-1", "s-2")
    assert lab.things["m-2.2"].fed_by.ids == ("s-2", "s-2")


def test_an_outlet_is_a_number_behind_its_strip():
    """`s-1.3` is outlet 3 of s-1, and feeds like s-1."""
    assert thing(POWER + "machines: {n: {is: node, fed by: s-1.3}}", "n").fed_by.ids == ("s-1",)


def test_the_number_of_an_outlet_is_kept():
    """Each feed keeps its outlet, of each strip that a pattern means; a feed without a number has none."""
    lab = lab_of(
        POWER
        + "machines: {n: {is: node, fed by: [s-*.3, s-1]}, m-1..2: {is: node, fed by: s-2.#}, o: {is: node, fed by: s-1}}"
    )
    fed = {name: lab.things[name].fed_by for name in ("n", "m-1", "m-2", "o")}
    assert (fed["n"].ids, fed["n"].outlets) == (("s-1", "s-2", "s-1"), (3, 3, None))
    assert [fed[name].outlets for name in ("m-1", "m-2", "o")] == [(1,), (2,), ()]


def test_words_stand_for_all_of_a_kind():
    """Where any thing may be named, a word means all of its kind, implied parts too."""
    text = POWER + "machines: {n: {is: node, fed by: [s-1, s-2]}}\naims: {one: {lose: [node, strip, supply]}}"
    (aim,) = lab_of(text).aims
    assert aim.lose.ids == ("n", "s-1", "s-2", "n.supply-1", "n.supply-2")


def test_a_thing_called_like_a_word_wins():
    """A thing may be called like a word; then the word means that thing."""
    text = "machines: {node: {is: node}, n: node}\naims: {one: {lose: node}}"
    assert lab_of(text).aims[0].lose.ids == ("node",)


def test_implied_parts_may_be_named():
    """Supplies, copies and cables can be lost by name."""
    text = """
        power: {s: {is: strip}}
        machines: {n: {is: node, fed by: s}, hub: switch}
        wire: {cables: [n -- hub]}
        services: {mail: n}
        aims: {one: {lose: [n.supply-1, mail.1, n.1 -- hub.1]}}
        """
    assert lab_of(text).aims[0].lose.ids == ("n.supply-1", "mail.1", "n.1 -- hub.1")


@pytest.mark.parametrize(
    ("text", "messages"),
    [
        (
            POWER + "machines: {n: {is: node, fed by: s-3}}",
            [
                "lab.yaml:3:34 (machines.n.fed by): no outside, circuit, ups or strip is called 's-3'."
                " Did you mean 's-2'?"
            ],
        ),
        (
            POWER + "machines: {n: {is: node, fed by: s-1.7}}",
            ["lab.yaml:3:34 (machines.n.fed by): s-1 has 6 outlets, not 7. Use one from 1 to 6."],
        ),
        (
            POWER + "machines: {n: {is: node, fed by: s-1.0}}",
            ["lab.yaml:3:34 (machines.n.fed by): s-1 has 6 outlets, not 0. Use one from 1 to 6."],
        ),
        (
            POWER + "machines: {n: {is: node, fed by: s-#}}",
            [
                "lab.yaml:3:34 (machines.n.fed by): # stands for counter 1 of the name, which has none."
                " Count the entry's name, as in desk-1..4, or name one thing."
            ],
        ),
        (
            POWER + "machines: {n-1..3: {is: node, fed by: s-#}}",
            [
                "lab.yaml:3:39 (machines.n-1..3.fed by): no outside, circuit, ups or strip is called 's-3'."
                " Did you mean 's-2'?"
            ],
        ),
        (
            "places: {r-1..2: rack}\nmachines: {n: {is: node, in: r-*}}",
            ["lab.yaml:3:30 (machines.n.in): 'r-*' means 2 things. Name one: r-1, r-2."],
        ),
        (
            "places: {r: rack}\nmachines: {n: {is: node, in: [r]}}",
            ["lab.yaml:3:30 (machines.n.in): found a list. Write the name of a room, rack or enclosure."],
        ),
        (
            "machines: {n: node}\nservices: {mail: {on: n, needs: [nmaes]}, names: n}",
            [
                "lab.yaml:3:34 (services.mail.needs.run and start[0].of): no thing is called 'nmaes'."
                " Did you mean 'names'?"
            ],
        ),
        (
            "aims: {one: {lose: [rack, strip]}, two: {lose: [node, strip]}}\nmachines: {n: node}",
            ["lab.yaml:2:21 (aims.one.lose): the lab has no rack, strip. Leave it out, or add one."],
        ),
        (
            "order: {do: x, brings: zz}\nmachines: {n: node}",
            ["lab.yaml:2:24 (order[0].brings): no thing is called 'zz'. Known: n."],
        ),
        (
            "today: {built: zz}\nmachines: {n: node}",
            ["lab.yaml:2:16 (today.built): no thing is called 'zz'. Known: n."],
        ),
    ],
)
def test_references_without_sense_are_told(text, messages):
    """Each has one whole message at the place of the reference."""
    assert told(text) == messages
