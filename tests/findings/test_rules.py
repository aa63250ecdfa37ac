"""Each finding caught once, and once not crying wolf."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given, settings
from tests.strategies import lab_of, texts

from falsework.findings.finding import CODES, DATA_CAUTION, POWER_CAUTION, Level
from falsework.study import study_lab

HEAD = "falsework: 1\nlab: x\n"


def findings(text, code):
    """What is told under one code."""
    return [finding for finding in study_lab(lab_of(HEAD + text)).findings if finding.code == code]


def one(text, code):
    """The one finding under a code."""
    (found,) = findings(text, code)
    return found


NODES = "machines: {n1..3: {is: node}}\n"


def test_aim_broken():
    """A broken aim is told first, as broken, with what to change."""
    text = NODES + "services: {s: n1, t: {on: [n2, n3]}}\naims: {any node: {lose: node, at most: thin}}\n"
    found = one(text, "aim broken")
    assert found.level is Level.BROKEN
    assert found.says == "any node: lose n1: s falls at once"
    assert found.why == ("the only copy of s is down: s.1 runs on n1, since n1 is lost",)
    assert found.mend == "give s a second copy, on a node that does not lean on n1"
    assert study_lab(lab_of(HEAD + text)).findings[0] == found
    assert findings(text.replace("s: n1", "s: {on: [n1, n2]}"), "aim broken") == []


def test_down_already():
    """What does not stand with nothing lost is told with its reason; with a part out it is a remark."""
    text = "machines: {n1..2: {is: node, ports: 1}, sw-1..2: {is: switch}}\nwire: {cables: [n1 -- sw-1, n2 -- sw-2]}\nservices: {s: n1, t: {on: n2, needs: [s]}}\n"
    found = one(text, "down already")
    assert found.level is Level.BROKEN
    assert found.says == "t does not stand although nothing is lost"
    assert found.why == ("the only copy of t is down: t.1 can't see s over the wire",)
    assert findings(text.replace("n2 -- sw-2]", "n2 -- sw-2, sw-1 -- sw-2]"), "down already") == []
    out = one(NODES + "services: {s: n1}\ntoday: {out: [n1]}\n", "down already")
    assert out.level is Level.REMARK
    assert out.says == "s does not stand although nothing more is lost"


def test_single_point():
    """One part that several services hang on is told once, with those that do the same; a spare ends it."""
    text = (
        "power: {A: {is: strip}}\nmachines: {n1..2: {is: node, fed by: A}}\nservices: {s: {on: [n1, n2]}}\n"
    )
    found = one(text, "single point")
    assert found.says == "lose A: s falls"
    assert found.why == (
        "s has 0 of 2 copies and needs 1: s.1 runs on n1, since n1 has no power, since A is lost",
    ) or (found.why[0].startswith("no copy of s") or "A is lost" in found.why[0])
    assert found.mend == "spread s: at most 1 of its 2 copies may lean on one strip"
    assert (found.things, found.services) == (("A",), ("s",))
    two = text.replace("power: {A: {is: strip}}", "power: {A: {is: strip}, B: {is: strip}}").replace(
        "n1..2: {is: node, fed by: A}", "n1: {is: node, fed by: A}, n2: {is: node, fed by: B}"
    )
    assert findings(two, "single point") == []


def test_single_points_that_do_the_same_are_told_together():
    """A node, its supply and its strip do the same; the node is named, for that is what one would pull."""
    text = "power: {A: {is: strip}}\nmachines: {n1: {is: node, fed by: A}}\nservices: {s: n1}\n"
    found = one(text, "single point")
    assert found.says == "lose n1: s falls (so does losing A and n1.supply-1)"


LOADED = """
power:
  A: {is: circuit, volts: 230 V, breaker: 2 A}
  B: {is: circuit, volts: 230 V, breaker: 2 A}
machines:
  n1..2: {is: node, fed by: [A, B], draws: WATTS}
services: {s: {on: [n1, n2]}}
"""


def test_trips():
    """Two circuits that share 500 W carry it; either alone, at 460 W, would trip. At 400 W neither does."""
    found = findings(LOADED.replace("WATTS", "250 W"), "trips")
    assert [each.says for each in found] == [
        "lose B: A would have to carry 500 W and trips above 460 W",
        "lose A: B would have to carry 500 W and trips above 460 W",
    ]
    assert all(each.caution == POWER_CAUTION for each in found)
    assert found[0].mend == "move machines off A, or feed it from a stronger circuit"
    assert findings(LOADED.replace("WATTS", "200 W"), "trips") == []


def test_close_to_the_limit():
    """A circuit at 400 of 460 W is over four fifths for long; at 360 W it is not."""
    text = LOADED.replace("fed by: [A, B]", "fed by: A")
    found = one(text.replace("WATTS", "200 W"), "close to the limit")
    assert found.says == (
        "A carries 400 W when all are busy, 87 % of what it is rated for; a load of three hours or more may take 80 %"
    )
    assert found.why == (
        "a breaker is rated for 125 % of a load that lasts (NEC 210.20(A)); local codes differ",
    )
    assert found.caution == POWER_CAUTION
    assert findings(text.replace("WATTS", "180 W"), "close to the limit") == []


def test_close_to_the_limit_after_a_loss():
    """Two circuits that share 400 W of 460 each: not as it is, but alone either would carry 87 % for long."""
    found = findings(LOADED.replace("WATTS", "200 W"), "close to the limit")
    assert [each.says.split(",")[0] for each in found] == [
        "A carries 400 W when B is lost",
        "B carries 400 W when A is lost",
    ]
    said = LOADED.replace("WATTS", "200 W").replace("breaker: 2 A", "breaker: 2 A, for hours: 90 %")
    assert findings(said, "close to the limit") == []


def test_what_trips_is_told_once():
    """A source that trips after a loss is not told as close to its limit as well."""
    assert findings(LOADED.replace("WATTS", "250 W"), "close to the limit") == []


UPS_BEHIND = """
power:
  A: {is: circuit, volts: 230 V, breaker: 16 A}
  u: {is: ups, fed by: A, carries: 400 W, volt amperes: 450 VA}
machines:
  n1..2: {is: node, fed by: u, draws: 190 W, power factor: FACTOR}
services: {s: {on: [n1, n2]}}
"""


def test_too_many_volt_amperes():
    """A battery carries 380 of its 400 W, but at 0.8 that is 475 of 450 VA; at 0.9 it is 422 VA."""
    found = one(UPS_BEHIND.replace("FACTOR", "0.8"), "too many volt-amperes")
    assert found.says == "u carries 380 W, which is 475 VA, above its 450 VA"
    assert found.mend == "move machines off u, or take a larger battery"
    assert findings(UPS_BEHIND.replace("FACTOR", "0.9"), "too many volt-amperes") == []


def test_more_than_a_battery_carries():
    """Asked for 440 W it carries 400 of: it shuts off as it is, and nothing else is told of it."""
    text = UPS_BEHIND.replace("FACTOR", "0.8").replace("190 W", "220 W")
    assert one(text, "trips").says == "u would have to carry 440 W as it is, and shuts off above 400 W"
    assert findings(text, "too many volt-amperes") == []


SUPPLIED = """
power:
  c1..2: {is: circuit, volts: 230 V, breaker: 16 A}
machines:
  b1..3: {is: node, fed by: [c1, c2], draws: 200..600 W, efficiency: 90 %, supply gives: {115 V: 450 W, 230 V: GIVES}}
services: {s: {on: [b1, b2, b3]}}
"""


def test_supply_too_small():
    """600 W at the plug are 540 W inside: one supply of 500 W does not carry that alone, one of 550 W does."""
    found = one(SUPPLIED.replace("GIVES", "500 W"), "supply too small")
    assert found.says == (
        "b1 does not run on one supply: it would have to give 540 W, and gives 500 W at 230 V; so it is with b2 and b3"
    )
    assert found.mend == "put in larger supplies, or say `enough: 2`, which is what it takes at its busiest"
    assert findings(SUPPLIED.replace("GIVES", "550 W"), "supply too small") == []
    assert (
        findings(SUPPLIED.replace("GIVES", "500 W, ").replace(", }", "}, enough: 2"), "supply too small")
        == []
    )
    low = SUPPLIED.replace("GIVES", "550 W").replace("volts: 230 V", "volts: 115 V")
    assert "and gives 450 W at 115 V" in one(low, "supply too small").says


def test_voltage_does_not_fit():
    """A supply for 100 to 127 V where 230 V were assumed; and feeds of two systems that nobody says it takes."""
    text = SUPPLIED.replace("GIVES", "900 W")
    assumed = (
        text.replace("volts: 230 V, ", "")
        .replace("efficiency: 90 %", "accepts: 100..127 V")
        .replace("230 V: 900 W", "120 V: 900 W")
    )
    found = one(assumed, "voltage does not fit")
    assert (
        found.says
        == "b1, b2 and b3 take 100..127 V, and are plugged in at 230 V, the voltage that was assumed"
    )
    assert found.mend == "say the voltage of the circuit: `volts: 115 V`"
    mixed = text.replace(
        "c1..2: {is: circuit, volts: 230 V",
        "c1: {is: circuit, volts: 115 V}\n  c2: {is: circuit, volts: 230 V",
    )
    found = one(mixed, "voltage does not fit")
    assert (
        found.says
        == "b1, b2 and b3 are fed at 115 V and 230 V, and nobody says that their supplies take both"
    )
    assert findings(mixed.replace("efficiency: 90 %", "accepts: 100..240 V"), "voltage does not fit") == []
    assert findings(text, "voltage does not fit") == []


def test_stays_down():
    """A circle after a power cut is told with the circle and how to cut it; without the circle nothing stays down."""
    text = NODES + "services: {one: {on: n1, needs: [two]}, two: {on: n2, needs: [one]}}\n"
    found = one(text, "stays down")
    assert found.says == "after a power cut one and two do not come back without hands"
    assert found.why == ("each waits for the next: one -> two -> one",)
    assert found.mend == (
        "cut the circle: reach one of them by a fixed address, keep a local copy, or give it a second provider outside"
    )
    assert findings(text.replace(", needs: [one]", ""), "stays down") == []


def test_a_circle_through_running_is_named():
    """One waits to start for two to serve, two waits to serve for one: that is a circle too, and is told as one."""
    text = NODES + "services: {one: {on: n1, needs: [two]}, two: {on: n2, needs: {to run: [one]}}}\n"
    found = one(text, "stays down")
    assert found.why == ("each waits for the next: one -> two -> one",)
    assert found.mend.startswith("cut the circle")


def test_what_stays_off_is_named():
    """A machine that stays off is named, and asked to come on by itself."""
    text = "machines: {n1: {is: node, power back: stays off}}\nservices: {s: n1}\n"
    found = one(text, "stays down")
    assert found.why == ("n1 stays off until switched on by hand",)
    assert found.mend == "let n1 come on by itself when power returns"
    assert findings(text.replace("stays off", "on"), "stays down") == []


BATTERY = """
outside: {mains: the wall}
power: {cell: {is: ups, fed by: mains, runs: {100 W: 10 min}, signals at: 8 min, tells: [n1]}}
machines:
  n1: {is: node, fed by: cell, draws: 100 W, stops in: 5 min}
  sw: {is: switch, fed by: FEED}
wire: {cables: [n1 -- sw]}
"""


def test_battery_too_short():
    """The stop ends three minutes after the battery; a signal two minutes earlier than at most five is no finding."""
    found = one(BATTERY.replace("FEED", "cell"), "battery too short")
    assert (
        found.says
        == "cell lasts 10 min, and stopping in order takes until 13 min: n1 is cut hard, 3 min short"
    )
    assert found.mend == "signal at most 5 min after the cut"
    assert found.caution == DATA_CAUTION
    assert findings(BATTERY.replace("FEED", "cell").replace("8 min", "5 min"), "battery too short") == []


def test_message_not_delivered():
    """A switch on the wall is dark by then."""
    found = one(BATTERY.replace("FEED", "mains"), "message not delivered")
    assert found.says == "cell tells n1 to stop over a way that is down by then"
    assert found.why == ("sw has no power any more",)
    assert found.mend == "feed sw from the battery too"
    assert findings(BATTERY.replace("FEED", "cell"), "message not delivered") == []


HALF_WAY = """
outside: {mains: the wall}
power: {cell: {is: ups, fed by: mains, runs: {100 W: 20 min}, signals at: 2 min, THEN}, plain: {is: strip, fed by: mains}}
machines: {n1: {is: node, fed by: FEED, draws: 100 W, stops in: 3 min, power back: on}}
"""


def half_way(then="", feed="cell"):
    """A machine on a battery, and what it does when the power is back before the battery is empty."""
    return HALF_WAY.replace("THEN", then).replace("FEED", feed)


def test_off_until_a_hand_comes():
    """A machine that has stopped and never sees its power go; outlets that are switched off after the stop wake it."""
    found = one(half_way(), "off until a hand comes")
    assert found.says == "power that is back between 2 min and 20 min after a cut leaves n1 off"
    assert found.things == ("cell", "n1")
    assert "`then cuts`" in found.mend
    assert findings(half_way("then cuts: 3 min"), "off until a hand comes") == []
    assert (
        findings(half_way().replace("power back: on", "power back: stays off"), "off until a hand comes")
        == []
    )
    corded = one(half_way("then cuts: 3 min", feed="[cell, plain]"), "off until a hand comes")
    assert corded.mend == "plan who switches n1 on, and how from afar"


def test_switched_off_too_soon():
    """Outlets that go off a minute before the last machine has stopped."""
    found = one(half_way("then cuts: 2 min"), "switched off too soon")
    assert (
        found.says
        == "cell switches its outlets off 4 min after a cut, and n1 is still stopping then, until 5 min"
    )
    assert found.mend == "`then cuts: 3 min` or more"
    assert found.caution == DATA_CAUTION
    assert findings(half_way("then cuts: 3 min"), "switched off too soon") == []


DRIVES = """
kinds: {disk: {is: drive}}
machines: {n1: {is: node, drives: {d1: {kind: disk, batch: k7}, d2: {kind: disk, batch: BATCH}}}}
stores: {shelf: {drives: n1.*, layout: mirror}}
"""


def test_one_cause_takes_both():
    """Two halves of a mirror from one batch; with another batch there is nothing to say."""
    found = one(DRIVES.replace("BATCH", "k7"), "one cause takes both")
    assert found.says == "n1.d1 and n1.d2 of shelf are of batch k7: one cause may take both at once"
    assert found.why == ("shelf survives the loss of 1",)
    assert found.caution == DATA_CAUTION
    assert findings(DRIVES.replace("BATCH", "k8"), "one cause takes both") == []


BACKUP = """
kinds: {disk: {is: drive}}
machines: {n1: {is: node, drives: 2 disk}, n2: {is: node, drives: 2 disk}}
stores:
  shelf: {drives: n1.d*, layout: mirror}
  other: {drives: n2.d*, layout: mirror}
services: {s: {on: n1, state in: shelf}}
data:
  letters: {of: s, in: shelf, may lose: 1 day, backed up: [{to: PLACE, every: OFTEN, PROOF}]}
"""


def backup(to="other", every="1 day", restored="restored: 2026-01-02"):
    """The lab with one backup."""
    return BACKUP.replace("PLACE", to).replace("OFTEN", every).replace("PROOF", restored)


def test_backup_on_its_source():
    """A backup on the store that it backs up is told; on another it is not."""
    found = one(backup(to="shelf"), "backup on its source")
    assert found.says == "the backup of letters to shelf is lost together with what it backs up"
    assert found.why == ("both lie on shelf",)
    assert found.caution == DATA_CAUTION
    assert findings(backup(), "backup on its source") == []


def test_backup_too_rare():
    """Every two days where one may be lost."""
    found = one(backup(every="2 days"), "backup too rare")
    assert found.says == "letters may lose 1 day of work and is backed up every 2 days"
    assert findings(backup(), "backup too rare") == []


def test_never_proved():
    """A restore and a failover that nobody has seen work; with a date they are silent."""
    found = one(backup(restored="keeps: 30 days"), "never proved")
    assert found.says == "no restore of letters was ever seen to work"
    assert findings(backup(), "never proved") == []
    text = NODES + "services: {s: {on: [n1, n2], takes over: 40 s, PROVED}}\n"
    found = one(text.replace("PROVED", "restarts in: 1 s"), "never proved")
    assert found.says == "the failover of s was never seen to work"
    assert found.mend == "try it once, and write the day under `proved`"
    assert findings(text.replace("PROVED", "proved: 2026-01-02"), "never proved") == []


ALARM = (
    NODES
    + """
outside: {friend: another house}
services: {s: n1, watch: WATCH}
alarms: {bell: {raised by: watch, leaves by: [friend], MORE}}
"""
)


def test_nobody_is_told():
    """A watch on the node of what it watches falls with it; on another node it does not."""
    found = one(ALARM.replace("WATCH", "n1").replace("MORE", "told in: 1 min"), "nobody is told")
    assert "n1" in found.things
    assert found.says == "lose n1: services fall, and no alarm leaves"
    assert found.why == (
        "bell passes watch: the only copy of watch is down, since watch.1 runs on n1, since n1 is lost",
    )
    quiet = findings(ALARM.replace("WATCH", "n2").replace("MORE", "told in: 1 min"), "nobody is told")
    assert not any("n1" in each.things for each in quiet)


def test_silence_goes_unseen():
    """Somebody outside should notice silence."""
    found = one(ALARM.replace("WATCH", "n2").replace("MORE", "told in: 1 min"), "silence goes unseen")
    assert found.says == "nobody outside notices when bell falls silent"
    assert (
        findings(
            ALARM.replace("WATCH", "n2").replace("MORE", "silence seen by: friend"), "silence goes unseen"
        )
        == []
    )


STEPS = (
    NODES
    + """
services: {names: {on: n1, reached at: 10.0.0.5}, pages: {on: n2, needs: [names]}}
stand-ins: {laptop: {for: names}}
order:
"""
)


@pytest.mark.parametrize(
    ("steps", "says"),
    [
        (["brings: pages", "brings: names"], ["step 1: pages needs names, which is not there yet"]),
        (
            ["with: laptop, brings: pages", "brings: names, repoints: pages"],
            ["from step 2 both laptop and names serve", "laptop is never retired"],
        ),
        (
            ["with: laptop, brings: pages", "brings: names", "retires: laptop"],
            [
                "step 3 stops pages, which still leans on laptop",
                "step 3 takes away laptop, whose address pages has learnt",
            ],
        ),
        (["brings: names", "brings: pages"], []),
    ],
)
def test_order(steps, says):
    """Each slip in an order of work has its sentence, and a good order none."""
    text = STEPS + "".join(f"  - {{do: step, {step}}}\n" for step in steps)
    assert sorted(each.says for each in findings(text, "order")) == sorted(says)


def test_can_not_be_built():
    """An installer that runs on what it installs is told; a stand-in that is accepted ends it."""
    text = "machines: {n1: {is: node, needs: {to build: [images]}}}\nservices: {images: n1}\n"
    found = one(text, "can't be built")
    assert found.says == "n1 and images can't be built from nothing: each needs another of them first"
    assert found.mend == "accept a stand-in for one of them under stand-ins"
    assert findings(text + "stand-ins: {laptop: {for: images}}\n", "can't be built") == []


def test_not_wired():
    """A host without a cable in a lab that describes cables; one that hosts nothing is left in peace."""
    text = "machines: {n1..3: {is: node}, sw: {is: switch}}\nwire: {cables: [n1 -- sw]}\nservices: {s: {on: [n1, n2]}}\n"
    found = one(text, "not wired")
    assert found.says == "n2 has no cable, so it is taken to reach everything"
    assert found.things == ("n2",)
    assert findings(text.replace("n1 -- sw", "n1 -- sw, n2 -- sw"), "not wired") == []


def test_one_address_known():
    """A client that knows one of two addresses is told; one that knows both, or needs a majority, is not."""
    text = (
        NODES
        + "services: {names: {on: [n1, n2], reached at: [10.0.0.1, 10.0.0.2]}, pages: {on: n3, needs: [names at 10.0.0.1]}}\n"
    )
    found = one(text, "one address known")
    assert found.says == "pages.1 knows 1 of the 2 addresses of names"
    assert found.mend == "let it know them all: write the need as names"
    assert findings(text.replace(" at 10.0.0.1", ""), "one address known") == []


def test_drives_not_laid_out():
    """Several drives in no store are told; a single one is what a node starts from."""
    text = "kinds: {disk: {is: drive}}\nmachines: {n1: {is: node, drives: 2 disk}}\n"
    found = one(text, "drives not laid out")
    assert found.says == "n1.d1 and n1.d2 belong to no store, so losing them is taken to do nothing"
    assert findings(text.replace("2 disk", "1 disk"), "drives not laid out") == []


BOOK = (
    "outside: {far: two shelves}\nmachines: {a: {is: node}, b: {is: node}}\nservices: {s: a}\n"
    "data: {book: {of: s, in: a, may lose: 1 day MORE}}\nkeys: {lock: {kept in: b}}\n"
)


def test_exists_only_here():
    """Data that are not backed up are told, backed up they are not."""
    assert one(BOOK.replace("MORE", ""), "exists only here").says.startswith("book exists only in a")
    assert findings(BOOK.replace("MORE", ", backed up: {to: far}"), "exists only here") == []


def test_key_lost_with_its_backup():
    """The key to a backup outside that is kept inside only is told."""
    text = BOOK.replace("MORE", ", backed up: {to: far, needs: lock}")
    assert one(text, "key lost with its backup").says.startswith("lose the whole lab: book is gone for good")
    assert findings(text.replace("kept in: b", "kept in: far"), "key lost with its backup") == []


def test_every_code_is_tried():
    """No code is without a test, in this file or in that of its topic beside it."""
    written = "\n".join(path.read_text(encoding="utf-8") for path in Path(__file__).parent.glob("test_*.py"))
    assert [code for code in CODES if f'"{code}"' not in written] == []


def test_findings_come_worst_first():
    """Broken before remarks, and what hurts most services first among its like."""
    text = "machines: {n1..3: {is: node}}\nservices: {a: n1, b: n2, c: n2, d: n3}\naims: {one: {lose: n3, at most: thin}}\n"
    found = study_lab(lab_of(HEAD + text)).findings
    assert [each.level for each in found] == sorted(each.level for each in found)
    points = [each.things[0] for each in found if each.code == "single point"]
    assert points == ["n2", "n1"]  # n3 is told with its aim


def test_several_things_are_cut_hard():
    """With several things cut off by an empty battery the sentence speaks of several."""
    text = (
        BATTERY.replace("FEED", "cell").replace("8 min", "9 min")
        + "services: {s: {on: n1, stops in: 2 min}}\n"
    )
    found = one(text, "battery too short")
    assert "n1 and s.1 are cut hard" in found.says


def test_a_sound_lab_is_left_in_peace():
    """Three nodes on two strips, a majority, no aims: nothing is worth telling."""
    text = """
power: {A: {is: strip}, B: {is: strip}}
machines: {n1..3: {is: node, fed by: [A, B]}}
services: {s: {on: n*, serves: majority}}
"""
    assert study_lab(lab_of(HEAD + text)).findings == ()


@given(texts())
@settings(max_examples=25)
def test_sentences_are_whole(text):
    """Whatever is told of a random lab has a known code, whole sentences without a full stop, and things of the lab."""
    lab = lab_of(text)
    found = study_lab(lab)
    for finding in found.findings:
        assert finding.code in CODES
        assert finding.where is not None
        for sentence in (finding.says, *finding.why, finding.mend):
            assert sentence == sentence.strip()
            assert not sentence.endswith(".")
            assert not re.search(r"[{}]|None|\binf\b|\bnan\b|  ", sentence), sentence
        assert finding.says
        assert set(finding.things) <= {*lab.things, *found.standing.support.things}
        assert set(finding.services) <= set(found.standing.support.services)
    assert len(set(found.findings)) == len(found.findings)
    assert found.status == (1 if any(each.level is Level.BROKEN for each in found.findings) else 0)
