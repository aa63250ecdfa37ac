"""Parts that nobody writes down: supplies, cards, controllers."""

from tests.model.texts import lab_of, thing, told

POWER = "power: {A: {is: strip}, B: {is: strip}}\n"


def supplies(text):
    """Each supply of the lab with its machine and its source."""
    return {
        name: (each.holder, each.source) for name, each in lab_of(text).things.items() if each.IS == "supply"
    }


def test_each_feed_has_a_supply():
    """Two feeds are two supplies, one in each strip."""
    assert supplies(POWER + "machines: {n: {is: node, fed by: [A, B]}}") == {
        "n.supply-1": ("n", "A"),
        "n.supply-2": ("n", "B"),
    }


def test_two_supplies_may_share_a_strip():
    """More supplies than feeds share them in turn; so does one strip named twice."""
    expected = {"n.supply-1": ("n", "A"), "n.supply-2": ("n", "A")}
    assert supplies(POWER + "machines: {n: {is: node, supplies: 2, fed by: A}}") == expected
    assert supplies(POWER + "machines: {n: {is: node, fed by: [A, A]}}") == expected


def test_three_supplies_on_two_feeds_take_turns():
    """The third supply goes back to the first feed."""
    found = supplies(POWER + "machines: {n: {is: node, supplies: 3, fed by: [A, B]}}")
    assert [source for _, source in found.values()] == ["A", "B", "A"]


def test_what_has_no_feed_has_no_supply():
    """A machine whose power nobody spoke of has no supply, and strips and circuits have none at all."""
    text = "power: {c: {is: circuit}, A: {is: strip, fed by: c}}\nmachines: {n: node}"
    assert supplies(text) == {}


def test_an_enclosure_has_the_supplies_of_its_nodes():
    """The supplies belong to the box that is fed, not to the sleds in it."""
    text = (
        POWER
        + "kinds: {s: {is: node}, t: {is: enclosure, holds: {a: s}}}\nmachines: {t: {kind: t, fed by: [A, B]}}"
    )
    assert [holder for holder, _ in supplies(text).values()] == ["t", "t"]


def test_supplies_stand_in_their_machine():
    """A supply is housed by its machine and has the assumed figures of supplies."""
    supply = thing(POWER + "machines: {n: {is: node, fed by: A}}", "n.supply-1")
    assert supply.in_.ids == ("n",)
    assert 0 < supply.fails.low <= supply.fails.high


def test_cards_and_controllers_are_parts():
    """A card carries ports, a controller has its own; both fail by themselves."""
    text = "machines: {n: {is: node, ports: {a..b: 1 Gb/s, m: 1 Gb/s}, cards: {k: [a..b]}, controller: m}}"
    lab = lab_of(text)
    assert lab.things["n"].cards == {"k": ("a", "b")}
    assert (lab.things["n.k"].IS, lab.things["n.k"].holder) == ("card", "n")
    assert (lab.things["n.controller"].IS, lab.things["n.controller"].port) == ("controller", "m")


def test_a_thing_may_not_have_the_name_of_an_implied_part():
    """Two things of one name would hide each other, so the written one must give way."""
    text = (
        POWER
        + "machines: {n: {is: node, fed by: A}, n.supply-1: node, m: node}\nservices: {mail: m, mail.1: m}"
    )
    assert told(text) == [
        "lab.yaml:3:50 (machines.n.supply-1): 'n.supply-1' is also the name of a supply that the lab has by itself."
        " Give the node another name.",
        "lab.yaml:4:29 (services.mail.1): 'mail.1' is also the name of a copy that the lab has by itself."
        " Give the service another name.",
    ]
