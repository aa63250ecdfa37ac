"""Power that contradicts itself: each contradiction's whole message; what is merely odd is left alone."""

import pytest
from tests.model.texts import lab_of, told

UPS = "power: {u: {is: ups, WHAT}}"
NODE = "machines: {n: {is: node, WHAT}}"
LABEL = "Give what its label says, such as"


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            "power: {c: {is: circuit, breaker: 0 A}}",
            "lab.yaml:2:35 (power.c.breaker): a breaker of 0 A can't be. Give what it is rated for, such as 16 A.",
        ),
        (
            "power: {c: {is: circuit, volts: 0 V}}",
            "lab.yaml:2:33 (power.c.volts): a circuit of 0 V can't be. Give its voltage, such as 230 V.",
        ),
        (
            "power: {c: {is: circuit, breaker: 3680 W}}",
            "lab.yaml:2:35 (power.c.breaker): '3680 W' is a power, and a current is wanted here. Write for example 16 A.",
        ),
        (
            "power: {c: {is: circuit, for hours: 120 %}}",
            "lab.yaml:2:37 (power.c.for hours): the share of a breaker can't be 120 %."
            " Give at least 1 and at most 100 %, such as 80 %.",
        ),
        (
            "power: {c: {is: circuit, bears surge: 0.5}}",
            "lab.yaml:2:39 (power.c.bears surge): a multiple of 0.5 can't be. Give 1 or more, such as 5.",
        ),
        (
            UPS.replace("WHAT", "battery: 0 Wh"),
            f"lab.yaml:2:31 (power.u.battery): a battery of 0 Wh can't be. {LABEL} 432 Wh, or leave `battery` out.",
        ),
        (
            UPS.replace("WHAT", "left: 0 %"),
            "lab.yaml:2:28 (power.u.left): what is left of a battery can't be 0 %."
            " Give at least 1 and at most 100 %, such as 75 %.",
        ),
        (
            UPS.replace("WHAT", "inverter: 130 %"),
            "lab.yaml:2:32 (power.u.inverter): what arrives behind an inverter can't be 130 %."
            " Give at least 1 and at most 100 %, such as 90 %.",
        ),
        (
            UPS.replace("WHAT", "exponent: 0.9"),
            "lab.yaml:2:32 (power.u.exponent): an exponent of 0.9 can't be. Give 1 for no loss, or more, such as 1.2.",
        ),
        (
            UPS.replace("WHAT", "rated over: 0 h"),
            "lab.yaml:2:34 (power.u.rated over): a discharge of 0 s can't be."
            " Give the time for which its energy is told, such as 20 h.",
        ),
        (
            UPS.replace("WHAT", "carries: 0 W"),
            f"lab.yaml:2:31 (power.u.carries): a limit of 0 W can't be. {LABEL} 900 W.",
        ),
        (
            UPS.replace("WHAT", "carries: 900 W, volt amperes: 700 VA"),
            "lab.yaml:2:31 (power.u.carries): it carries 900 W, it says, and only 700 VA."
            " Watts are never more than volt-amperes: swap or correct the two.",
        ),
        (
            NODE.replace("WHAT", "draws: -5 W"),
            "lab.yaml:2:33 (machines.n.draws): '-5 W' is less than nothing. Write for example 65 W.",
        ),
        (
            NODE.replace("WHAT", "draws: 5..9 W, usually draws: 12 W"),
            "lab.yaml:2:56 (machines.n.usually draws): it usually draws 12 W, and 5..9 W from idle to busy."
            " Correct one of the two: an ordinary day lies between idle and busy.",
        ),
        (
            NODE.replace("WHAT", "power factor: 1.2"),
            "lab.yaml:2:40 (machines.n.power factor): a power factor of 1.2 can't be."
            " Give what its label says, such as 0.95, and at most 1.",
        ),
        (
            NODE.replace("WHAT", "accepts: 0..240 V"),
            "lab.yaml:2:35 (machines.n.accepts): a supply takes 0 V, it says."
            " Give the voltages on its label, such as 100..240 V.",
        ),
        (
            NODE.replace("WHAT", "accepts: 200..240 V, supply gives: {115 V: 100 W, 230 V: 200 W}"),
            "lab.yaml:2:61 (machines.n.supply gives): it says what a supply gives at 115 V, and takes only 200..240 V."
            " Correct `accepts`, or leave that rating out.",
        ),
        (
            NODE.replace("WHAT", "draws: 0..1e14 W"),
            "lab.yaml:2:33 (machines.n.draws): no machine draws 100000000 MW."
            " Give what it draws at its plugs, such as 18..65 W.",
        ),
        (
            NODE.replace("WHAT", "supply gives: 1e-9 W"),
            "lab.yaml:2:40 (machines.n.supply gives): a supply that gives so much, or at such a voltage, is none."
            " Give what its label says, such as 750 W.",
        ),
        (
            "power: {c: {is: circuit, fed by: c}}",
            "lab.yaml:2:34 (power.c.fed by): power runs in a circle: c -> c. Let it end outside the circle.",
        ),
        (
            "places: {r: {is: room, air rises: 0 °C}}",
            "lab.yaml:2:35 (places.r.air rises): air that warms up of 0 °C can't be."
            " Give by how much it may, such as 11 °C.",
        ),
    ],
)
def test_figures_that_can_not_be(text, message):
    """No breaker of nothing, no share above all, no watts without volts, no battery of zero."""
    assert told(text) == [message]


BEHIND = """
kinds: {k: {is: node, accepts: 100..127 V, fed by: s}}
power:
  c: {is: circuit, volts: 230 V}
  s: {is: strip, fed by: c}
machines: {n1..9: {kind: k}}
"""


def test_a_supply_outside_its_range():
    """A machine for 100 to 127 V on a strip behind a circuit that says 230 V; nine of a kind are told once."""
    assert told(BEHIND) == [
        "lab.yaml:2:32 (machines.n1..9.accepts): n1 takes 100..127 V, and s gives it 230 V (`volts` of c at"
        " lab.yaml:4:27). Feed it from another circuit, or correct `accepts` here or `volts` of c."
    ]


@pytest.mark.parametrize(
    "change",
    [
        ("volts: 230 V", "volts: 115 V"),
        ("volts: 230 V", "breaker: 16 A"),
        ("accepts: 100..127 V", "accepts: 220 V"),
        ("accepts: 100..127 V, ", ""),
    ],
)
def test_what_may_be(change):
    """In the range, a voltage that nobody wrote, one system of voltages, and no range at all are no faults."""
    lab_of(BEHIND.replace(*change))


def test_a_circuit_that_says_more_than_it_is_fed():
    """Nothing makes 230 V of 115 V but a transformer, and 48 V of 230 V neither."""
    text = "power: {a: {is: circuit, volts: LOW V}, b: {is: circuit, volts: HIGH V, fed by: a}}"
    mend = "Correct one of the two; where a transformer stands between them, let it be fed by what feeds the other."
    assert told(text.replace("LOW", "115").replace("HIGH", "230")) == [
        f"lab.yaml:2:65 (power.b.volts): b has 230 V, and is fed by a, which has 115 V. {mend}"
    ]
    assert told(text.replace("LOW", "230").replace("HIGH", "48")) == [
        f"lab.yaml:2:65 (power.b.volts): b has 48 V, and is fed by a, which has 230 V. {mend}"
    ]


@pytest.mark.parametrize(("low", "high"), [(240, 120), (400, 230), (208, 120), (230, 220)])
def test_a_circuit_of_a_half_or_a_phase(low, high):
    """One half of a winding and one of three phases are as they should be."""
    lab_of(f"power: {{a: {{is: circuit, volts: {low} V}}, b: {{is: circuit, volts: {high} V, fed by: a}}}}")


@pytest.mark.parametrize("what", ["draws: 0 W", "draws: 0..5 W", "usually draws: 5 W", "surge: 0 A"])
def test_what_draws_nothing_is_no_fault(what):
    """A machine that sleeps at 0 W, or says only what it usually draws, contradicts nothing."""
    lab_of(NODE.replace("WHAT", what))
