"""Is what is offered tried: is the finding gone, does every met aim stay met, and does the rest of the file stay?"""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

import pytest
from hypothesis import given, settings
from tests.strategies import lab_of, texts

from falsework.findings.edits.offer import MOST, offered, why_none
from falsework.findings.finding import CODES
from falsework.findings.keyed import key
from falsework.lab.read import read_texts
from falsework.model.build import build, load
from falsework.study import study_lab

HEAD = "falsework: 1\nlab: x\n"
ROOT = Path(__file__).parents[3]
TRAPS = Path(__file__).parents[2] / "labs" / "traps"


def offers(text, code, things=()):
    """What is offered for the one finding under a code, with the study it is of."""
    return of_study(study_lab(lab_of(HEAD + text)), code, things)


def of_study(study, code, things=()):
    """The same of a study."""
    (finding,) = [
        each for each in study.findings if each.code == code and each.things[: len(things)] == things
    ]
    found = offered(finding, study.standing, study.aims)
    for each in found:
        _holds(study, finding, each)
    return found


def _holds(study, finding, offer):
    """What must be true of every offer, found out by a whole check of the lab with it."""
    after = study_lab(build(read_texts({**study.lab.files, **offer.changes.files})))
    if not offer.left:
        assert key(finding) not in {key(each) for each in after.findings if each.says == finding.says}
        if finding.code == "single point":
            gone = [each.things[0] for each in after.findings if each.code == "single point"]
            assert finding.things[0] not in gone
        elif finding.code != "aim broken":
            assert not [
                each
                for each in after.findings
                if each.code == finding.code and each.things[:1] == finding.things[:1]
            ]
    met = {aim.name for aim in study.aims if aim.met}
    assert met <= {aim.name for aim in after.aims if aim.met}
    now_met = {aim.name for aim in after.aims if aim.met}
    assert set(offer.met) <= now_met
    for file, text in offer.changes.files.items():
        assert comments(text) == comments(study.lab.files[file])
        assert offer.changes.difference.startswith(f"--- {file}\n")
    assert offer.says
    assert offer.assumes


def comments(text):
    """Every comment of a file, in order."""
    return re.findall(r"#.*", text)


def says(found):
    """What the offers say."""
    return [each.says for each in found]


def test_one_copy():
    """A service with one copy is offered a second one on another node."""
    found = offers("machines: {n1..2: {is: node}}\nservices:\n  s: n1   # the only one\n", "single point")
    assert says(found) == ["run a second copy of s on n2"]
    assert "+  s: [n1, n2]   # the only one" in found[0].changes.difference
    assert found[0].helps == 1
    assert found[0].harms == ()


def test_one_copy_in_a_pool():
    """A copy on a pool with nowhere else to run is offered a second copy, kept apart from the first by box."""
    text = (
        "machines: {e1..2: {is: enclosure, holds: 2 sled}}\nkinds: {sled: {is: node, memory: 8 GiB}}\n"
        "pools: {p: {hosts: e1.*, restarts in: 1 min}, q: {hosts: [e1.1, e2.1]}}\n"
        "services: {s: {on: p, takes: 4 GiB}}\n"
    )
    assert offers(text, "single point") == ()  # all of its pool is in one box, and no words change that
    apart = text.replace("on: p,", "on: q, tries: once,").replace("memory: 8 GiB", "memory: 4 GiB")
    assert [each for each in study_lab(lab_of(HEAD + apart)).findings if each.code == "single point"] == []


def test_copies_in_one_enclosure():
    """Of voters that share a box one is offered a place elsewhere; its data go with it."""
    text = (
        "machines:\n  twin: {is: enclosure, holds: {a..b: sled}}   # both in here\n  desk-1..2: {is: node}\n"
        "kinds: {sled: {is: node}}\n"
        "services: {state: {on: [twin.a, twin.b, desk-1], serves: majority}}\n"
        "data: {book: {of: state, in: [twin.a, twin.b, desk-1]}}\n"
    )
    found = offers(text, "single point")
    assert says(found)[0] == "run a copy of state on desk-2 instead of twin.a"
    assert "+data: {book: {of: state, in: [desk-2, twin.b, desk-1]}}" in found[0].changes.difference
    assert found[0].caution


def test_all_copies_in_one_rack():
    """Where moving one copy would change nothing, as many move together as must."""
    text = (
        "places: {R1: {is: rack}, R2: {is: rack}}\n"
        "machines: {n1..3: {is: node, in: R1}, n4..6: {is: node, in: R2}}\n"
        "services:\n  state: {on: n1..3, serves: majority}   # all in one rack\n"
    )
    found = offers(text, "single point", ("R1",))
    assert found == ()  # two racks bear no majority without one of them
    three = text.replace("R2: {is: rack}}", "R2: {is: rack}, R3: {is: rack}}").replace(
        "n4..6: {is: node, in: R2}", "n4: {is: node, in: R2}, n5: {is: node, in: R3}"
    )
    found = offers(three, "single point", ("R1",))
    assert says(found) == ["run a copy of state on n4 instead of n1, and one on n5 instead of n2"]
    assert "+  state: {on: [n4, n5, n3], serves: majority}   # all in one rack" in found[0].changes.difference


def test_one_feed():
    """Copies on one strip: one machine is offered a second feed, or another one."""
    text = (
        "power: {A: {is: strip}, B: {is: strip}}\nmachines:\n  n1: {is: node, fed by: A}\n  n2: {is: node, fed by: A}\n"
        "services: {s: {on: [n1, n2]}}\n"
    )
    found = offers(text, "single point", ("A",))
    assert set(says(found)) == {"feed n1 from B too", "feed n1 from B instead of A", "feed n2 from B too"}
    assert all("local electrical codes" in each.caution for each in found)
    assert any("second supply" in clause for each in found for clause in each.assumes)


def test_two_cords_in_one_strip():
    """A box with both cords in one strip is offered the other one; no supply is to be bought."""
    text = (
        "power: {A: {is: strip}, B: {is: strip}}\n"
        "machines: {n1: {is: node, fed by: A, supplies: 2}, n2: {is: node, fed by: A, supplies: 2}}\nservices: {s: {on: [n1, n2]}}\n"
    )
    found = offers(text, "single point", ("A",))
    assert says(found)[0] == "feed n1 from B too"
    assert found[0].assumes == ("one of its cords reaches B",)
    assert "fed by: [A, B], supplies: 2" in found[0].changes.difference


def test_one_switch():
    """A machine on one switch is offered a cable to the other from a free port; one without a free port a move."""
    text = (
        "machines:\n  n1..2: {is: node, ports: {a..b: 1 Gb/s}}\n  sw-1..2: {is: switch}\n"
        "wire:\n  cables:\n    - n1.a -- sw-1\n    - n2.a -- sw-1   # for now\n    - sw-1 -- sw-2\n"
        "services: {s: {on: [n1, n2], serves: all, needs: [t]}, t: {on: [n1, n2]}}\n"
    )
    # All of s must be seen, so two cables are wanted, in one offer.
    found = offers(text, "single point", ("sw-1",))
    assert sorted(found[0].edits) == ["lay a cable from n1 to sw-2", "lay a cable from n2 to sw-2"]
    assert "+    - n1.b -- sw-2" in found[0].changes.difference


def test_aim_broken():
    """A broken aim is mended through one loss after the other until it is met; an offer for the first says what is next."""
    text = "machines: {n1..3: {is: node}}\nservices: {s: n1, t: {on: [n2, n3]}, u: n2}\naims: {any node: {lose: node, at most: thin}}\n"
    onward, first, *_ = offers(text, "aim broken")
    assert onward.edits == ("run a second copy of s on n2", "run a second copy of u on n1")
    assert (onward.met, onward.left) == (("any node",), "")
    assert first.says == "run a second copy of s on n2"
    assert first.met == ()
    assert first.left == "any node is still broken: lose n2: u falls at once"
    whole = offers(text.replace(", u: n2", ""), "aim broken")
    assert whole[0].met == ("any node",)
    assert whole[0].left == ""


def test_what_breaks_an_aim_is_not_offered():
    """The only other node is in the box that an aim wants to lose without harm to more than one copy."""
    text = (
        "machines: {e: {is: enclosure, holds: {a..b: sled}}, n1..2: {is: node}}\nkinds: {sled: {is: node}}\n"
        "services: {s: {on: [n1, n2, e.a], serves: majority}, t: {on: [n1, n2], serves: all}}\n"
        "aims: {a box may go: {lose: e, at most: blinks}}\n"
    )
    for offer in offers(text, "single point", ("n1",)):
        assert "e." not in offer.says or not offer.harms


def test_weak_spots_are_not_moved_about():
    """Five voters with one port each on two switches: no edit ends it, so none is offered (a published trap)."""
    study = study_lab(load(TRAPS / "05-one-port-voters" / "base.yaml"))
    assert of_study(study, "single point") == ()


def test_stays_off():
    """A box that stays off is offered to come on; a service that tries once, to keep trying."""
    text = (
        "machines:\n  n1: {is: node, power back: stays off}  # a setting\n  n2: {is: node, power back: on}\n"
        "services: {store: n1, s: {on: n2, needs: [store], tries: once}}\n"
    )
    found = offers(text, "stays down")
    assert found[0].edits == (
        "let n1 come on when power returns",
        "let s keep trying until what it needs is there",
    )
    assert "+  n1: {is: node, power back: on}  # a setting" in found[0].changes.difference


def test_names_on_what_they_name():
    """Hosts that look up the name of their store on the store are offered its address (a published trap)."""
    study = study_lab(load(TRAPS / "09-storage-names" / "base.yaml"))
    found = of_study(study, "stays down")
    assert "reach store at 10.1.1.5 instead of by its name" in says(found)[0]
    assert "needs: [store at 10.1.1.5 for 1 min]" in found[0].changes.difference


def test_sealed_store():
    """A key whose shares are on what it opens is offered another place for a share (a published trap)."""
    study = study_lab(load(TRAPS / "16-sealed-store" / "base.yaml"))
    found = of_study(study, "stays down")
    assert found
    assert all("keep" in each.says for each in found)


def test_battery_too_short():
    """A signal that comes too late is offered sooner, to the minute (a published trap: at 2 minutes at the latest)."""
    study = study_lab(load(TRAPS / "14-battery-too-short" / "base.yaml"))
    found = of_study(study, "battery too short")
    assert says(found)[0].endswith("tell its machines to stop 2 min after the cut")


def test_message_not_delivered():
    """A switch on the wall is offered a feed from the battery that sends the message over it."""
    text = (
        "outside: {mains: {}}\npower: {ups: {is: ups, fed by: mains, runs: {100 W: 20 min}, signals at: 5 min, tells: n1, over: sw}}\n"
        "machines: {n1: {is: node, fed by: ups, draws: 50 W, stops in: 1 min, ports: 1}, sw: {is: switch, fed by: mains, draws: 5 W}}\n"
        "wire: {cables: [n1 -- sw]}\nservices: {s: n1}\n"
    )
    found = offers(text, "message not delivered")
    assert says(found) == ["feed sw from ups too"]


def test_backup_on_its_source():
    """A backup on what it backs up is offered another place (a published trap)."""
    text = (
        "machines: {n1: {is: node, drives: {d1..2: {is: drive}}}, n2: {is: node, drives: {d1..2: {is: drive}}}}\n"
        "stores: {one: {drives: n1.d*, layout: mirror}, two: {drives: n2.d*, layout: mirror}}\n"
        "services: {s: {on: n1, state in: one}}\n"
        "data: {book: {of: s, in: one, size: 4 GiB, backed up: {to: one, every: 1 day}}}   # odd\n"
    )
    found = offers(text, "backup on its source")
    assert says(found) == ["back book up to two instead of one"]
    assert found[0].assumes == ("two has room for 4 GiB",)


def test_backup_too_rare():
    """A backup that comes too rarely is offered as often as the owner wants it."""
    text = (
        "machines: {n1..2: {is: node}}\nservices: {s: n1}\n"
        "data: {book: {of: s, in: n1, may lose: 1 h, backed up: {to: n2, every: 1 day}}}\n"
    )
    assert says(offers(text, "backup too rare")) == ["back book up every 1 h"]


def test_exists_only_here():
    """Data without a backup are offered one where others go."""
    text = (
        "machines: {n1..2: {is: node, drives: {d1..2: {is: drive}}}}\nstores: {two: {drives: n2.d*, layout: mirror}}\n"
        "services: {s: n1}\ndata: {book: {of: s, in: n1, may lose: 1 day}}\n"
    )
    assert says(offers(text, "exists only here")) == ["back book up to two every 1 day"]


def test_one_batch():
    """One drive of a batch is offered to give way to a spare of another batch; the shelf has one less then."""
    text = (
        "kinds: {old: {is: drive, size: 2 TB, batch: k7}, new: {is: drive, size: 4 TB}}\n"
        "machines: {n1: {is: node, drives: 2 old}, n2: {is: node, drives: {d1: new}}}\n"
        "stores: {m: {drives: n1.d*, layout: mirror}}\nspares:\n  new: 2   # on the shelf\n"
    )
    found = offers(text, "one cause takes both")
    assert says(found)[0] == "put a new from the shelf in the place of n1.d1"
    assert "+  new: 1   # on the shelf" in found[0].changes.difference
    assert "drives: {d1: new, d2: old}" in found[0].changes.difference
    assert offers(text.replace("  new: 2", "  new: 0"), "one cause takes both") == ()


def test_key_lost_with_its_backup():
    """A key kept only in what it opens is offered a drawer outside, but no line or clock that machines lean on."""
    text = (
        "outside: {chest: in the hall, line: a cable, elsewhere: another house}\n"
        "machines: {n1: {is: node}, n2: {is: node}}\nservices: {s: n1, t: {on: n2, needs: [line]}}\n"
        "data: {book: {of: s, in: n1, may lose: 1 day, backed up: {to: elsewhere, every: 1 day, needs: [key]}}}\n"
        "keys: {key: {kept in: s}}\n"
    )
    found = offers(text, "key lost with its backup")
    assert "keep key in chest as well" in says(found)
    assert not [each for each in says(found) if "line" in each]


def test_nobody_is_told():
    """An alarm that falls with what it tells of is offered what lets it stand, or a second way out."""
    text = (
        "outside: {mast: a link, line: a phone}\nmachines: {n1..2: {is: node}, gate: {is: node}}\n"
        "services: {s: n1, notifier: n1, watch: {on: [n2, n1]}, way: {on: gate, needs: [{of: [mast, line]}]}}\n"
        "alarms: {bell: {raised by: watch, leaves by: [notifier, mast]}}\n"
    )
    found = offers(text, "nobody is told")
    assert "let a second alarm leave by line" in says(found)
    assert any("run a second copy of notifier" in each for each in says(found))


def test_silence_goes_unseen():
    """Somebody outside is offered to listen, but neither mains nor the way that messages take."""
    text = (
        "outside: {mains: {}, mast: a link, aunt: on the mainland}\npower: {A: {is: strip, fed by: mains}}\n"
        "machines: {n1: {is: node, fed by: A}}\nservices: {s: n1}\nalarms: {bell: {raised by: s, leaves by: mast}}\n"
    )
    assert says(offers(text, "silence goes unseen")) == ["let aunt expect a sign of life of bell"]


def test_address_in_the_pool():
    """An address in the pool is offered a fixed one, or the pool to begin behind it."""
    text = (
        "machines: {n1: {is: node, ports: 1}, sw: {is: switch}}\n"
        "wire:\n  cables: [n1 -- sw]\n  networks: {house: {subnet: 10.0.0.0/24, fixed: .2-.49, pool: .100-.199}}  # ours\n"
        "services: {names: {on: n1, reached at: 10.0.0.105}}\n"
    )
    found = offers(text, "address in the pool")
    assert "let the pool of house be .106-.199" in says(found)
    assert any(each.startswith("reach names at 10.0.0.") for each in says(found))


def test_too_much_at_once():
    """Machines whose surges meet are offered to come on one after another."""
    text = (
        "outside: {mains: {}}\npower: {c: {is: circuit, fed by: mains, volts: 230 V, breaker: 16 A, bears surge: 3}, A: {is: strip, fed by: c}}\n"
        "machines: {n1..3: {is: node, fed by: A, draws: 20..60 W, surge: 30 A, power back: on}}\nservices: {s: {on: [n1, n2]}}\n"
    )
    found = offers(text, "too much at once")
    assert any(each.startswith("let the outlets of A come on") for each in says(found))


def test_never_proved():
    """No edit is offered that claims a drill; it says why."""
    text = "machines: {n1..2: {is: node}}\nservices: {s: {on: [n1, n2], takes over: 30 s}}\n"
    study = study_lab(lab_of(HEAD + text))
    (finding,) = [each for each in study.findings if each.code == "never proved"]
    assert offered(finding, study.standing, study.aims) == ()
    assert why_none(finding) == "only a drill proves it: an edit that claims one would be a lie"


def test_a_kind_that_says_it_for_several():
    """A machine within a box has no entry: its kind says it, and the offer names all of the kind."""
    text = (
        "kinds:\n  head: {is: node, power back: stays off}   # both kinds of box\n"
        "machines: {e1..2: {is: enclosure, holds: {x: head}}}\nservices: {s: e1.x, t: e2.x}\n"
    )
    found = offers(text, "stays down")
    assert says(found) == ["let e1.x and e2.x come on when power returns"]
    assert "+  head: {is: node, power back: on}   # both kinds of box" in found[0].changes.difference


def test_an_address_for_two_copies():
    """A service that clients know at one address: the offer says what a second copy means for that."""
    text = "machines: {n1..2: {is: node}}\nservices: {s: {on: n1, reached at: 10.0.0.5}}\n"
    (found,) = offers(text, "single point")
    assert "all copies answer at 10.0.0.5, or clients learn another address" in found.assumes


@pytest.mark.parametrize(
    ("text", "with_it"),
    [
        ("machines: {n1..2: {is: node}}\r\nservices:\r\n  s: n1   # one\r\n", "  s: [n1, n2]   # one\r\n"),
        (
            "machines: {n1..2: {is: node}}\nservices:\n  s:\n    on:\n      - n1   # first\n",
            "      - n1   # first\n      - n2\n",
        ),
        ("machines: {'n 1': {is: node}, n2: {is: node}}\nservices: {s: ['n 1']}\n", "{s: ['n 1', n2]}\n"),
        ("machines: {n1..2: {is: node}}\nservices: {s: n1}", "services: {s: [n1, n2]}"),
    ],
)
def test_the_owners_way_of_writing_stays(text, with_it):
    """Line ends, lists with dashes, quotes and a file without a last line end stay as they are."""
    study = study_lab(build(read_texts({"lab.yaml": HEAD + text})))
    (found,) = of_study(study, "single point")
    assert found.changes.files["lab.yaml"].endswith(with_it)


def test_parts_that_are_out_stay_out():
    """With a part out beforehand edits are tried with it out too: what stands on it is no way out."""
    text = "machines: {n1..3: {is: node}}\nservices: {s: n1}\n"
    study = study_lab(lab_of(HEAD + text), out=["n2"])
    (finding,) = [each for each in study.findings if each.code == "single point"]
    assert says(offered(finding, study.standing, study.aims)) == ["run a second copy of s on n3"]


@given(texts(most_nodes=4))
@settings(max_examples=8)
def test_whatever_is_offered_holds(text):
    """In labs of every shape: the finding is gone, no met aim breaks, no comment goes, and what is met is met."""
    study = study_lab(lab_of(text + "# the end\n"))
    asked = [each for each in study.findings if each.code not in ("never proved", "order")]
    for finding in asked[:2]:
        for offer in offered(finding, study.standing, study.aims):
            _holds(study, finding, offer)


@pytest.mark.parametrize("code", CODES)
def test_every_kind_has_a_word(code):
    """For every kind of finding there is a clause for the case that nothing is offered."""
    from falsework.findings.finding import Finding, Level

    assert why_none(Finding(code=code, level=Level.REMARK, says="x"))


def test_most():
    """Never more than three."""
    text = "machines: {n1..9: {is: node}}\nservices: {s: n1, t: n1}\n"
    assert 0 < len(offers(text, "single point")) <= MOST


def test_one_address_known():
    """A client that knows one of several addresses is offered to know them all."""
    text = (
        "machines: {n1..3: {is: node}}\nservices: {names: {on: [n1, n2], reached at: [10.0.0.5, 10.0.0.6]}, "
        "s: {on: n3, needs: [names at 10.0.0.5 for 5 min]}}\n"
    )
    found = offers(text, "one address known")
    assert says(found) == ["let s know every address of names"]
    assert "needs: [names for 5 min]" in found[0].changes.difference
    assert "let s know every address of names" in says(offers(text, "single point", ("n1",)))


def test_room_without_a_machine():
    """Copies that find no room without one machine: what no aim speaks of may be left out, and the aim is met."""
    text = (
        "kinds: {box: {is: node, memory: 16 GiB}}\nmachines: {n1..3: {kind: box}}\npools: {p: {hosts: n*, restarts in: 1 min}}\n"
        "services: {mail: {on: p, takes: 10 GiB}, maps: {on: p, takes: 10 GiB}, photos: {on: p, takes: 10 GiB}}\n"
        "aims: {room: {room without: n1..3}, mail runs: {of: mail, cold start: at all}}\n"
    )
    found = offers(text, "aim broken")
    assert says(found) == [
        "let maps be left out when room is short",
        "let photos be left out when room is short",
    ]
    assert found[0].met == ("room",)


def test_too_early():
    """What tries once before its store is there is offered to keep trying, or a machine that comes on later."""
    text = (
        "power: {A: {is: strip}}\nmachines: {n1: {is: node, fed by: A, power back: on, wakes in: 5 min}, n2: {is: node, fed by: A, power back: on, wakes in: 1 min}}\n"
        "services: {store: n1, s: {on: n2, needs: {to start: [store]}, tries: once}}\n"
    )
    trying, later = offers(text, "stays down")
    assert trying.says == "let s keep trying until what it needs is there"
    assert later.says.startswith("let n2 come on ")
    assert "comes on after: " in later.changes.difference


def test_a_folder_of_files(tmp_path):
    """In a folder only the file that says it changes, and a new alarm joins those that are there."""
    (tmp_path / "a.yaml").write_text(
        "falsework: 1\nlab: x\nmachines: {n1..2: {is: node}}   # boxes\n", encoding="utf-8"
    )
    (tmp_path / "b.yaml").write_text("services:\n  s: n1  # one\n", encoding="utf-8")
    study = study_lab(load(tmp_path))
    found = of_study(study, "single point")
    assert list(found[0].changes.files) == [str(tmp_path / "b.yaml")]
    assert found[0].changes.files[str(tmp_path / "b.yaml")] == "services:\n  s: [n1, n2]  # one\n"


def test_drives_change_places_between_stores():
    """With nothing on the shelf two drives of one size and other batches change places, if that mends both stores."""
    text = (
        "kinds: {old: {is: drive, size: 2 TB, batch: k7}, new: {is: drive, size: 2 TB, batch: m2}}\n"
        "machines: {n1: {is: node, drives: 2 old}, n2: {is: node, drives: 2 new}}\n"
        "stores: {one: {drives: n1.d*, layout: mirror}, two: {drives: n2.d*, layout: mirror}}\n"
    )
    found = offers(text, "one cause takes both", ("one",))
    assert says(found)[0] == "let n1.d1 and n2.d1 change places"
    assert "drives: {d1: new, d2: old}" in found[0].changes.difference
    assert "drives: {d1: old, d2: new}" in found[0].changes.difference
    assert "before you change drives" in found[0].caution.lower()


def test_what_it_brings_is_told():
    """A backup moved to a store of one batch is one thing; an address range widened over nothing brings nothing."""
    text = (
        "machines: {n1: {is: node, ports: 1}, sw: {is: switch}}\n"
        "wire:\n  cables: [n1 -- sw]\n  networks: {house: {subnet: 10.0.0.0/24, fixed: .2-.49, pool: .100-.199, pool for: 99}}\n"
        "services: {names: {on: n1, reached at: 10.0.0.105}}\n"
    )
    # To begin the pool behind the address leaves it too small, which the same rule would tell instead.
    assert says(offers(text, "address in the pool")) == ["reach names at 10.0.0.3"]


@pytest.mark.slow
@pytest.mark.parametrize(
    ("code", "thing", "edits", "met"),
    [
        ("aim broken", "B", 2, {"any one feed may go", "a short cut goes unseen"}),
        ("stays down", "keep.x", 3, {"it comes back by itself"}),
        ("message not delivered", "battery", 1, {"a short cut goes unseen"}),
        ("single point", "twin-1", 3, set()),
        ("one cause takes both", "loft", 1, set()),
        ("addresses run out", "house", 1, set()),
    ],
)
def test_the_observatory(code, thing, edits, met):
    """The draft of the observatory: so many edits in the best offer, and at least these aims are met with it."""
    study = observatory()
    finding = next(
        each
        for each in study.findings
        if each.code == code and (code == "stays down" or each.things[0] == thing)
    )
    best, *_ = offered(finding, study.standing, study.aims)
    _holds(study, finding, best)
    assert len(best.edits) == edits
    assert met <= set(best.met)


@cache
def observatory():
    """The draft of the observatory, studied once."""
    return study_lab(load(ROOT / "examples" / "observatory" / "draft.yaml"))
