"""How much does a store hold, how full is it, does it heal, and how long at least does that take?"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import linprog
from tests.strategies import lab_of

from falsework.analyses.room.healing import Member, Spread, heal_spread
from falsework.analyses.room.storing import stored
from falsework.engines.usable import shares_each
from falsework.support.standing import Standing
from falsework.units import DAY_S, HOUR_S

TB = 1e12


def stores(text, *out):
    """The stores of a lab, by name."""
    return {each.store: each for each in stored(Standing(lab_of(f"falsework: 1\nlab: x\n{text}"), out=out))}


def heals(store):
    """By what is lost, what the store does."""
    return {each.lost: each for each in store.heals}


@pytest.mark.parametrize(
    ("size", "speed", "hours"), [("16 TB", "200 MB/s", 22.2), ("4 TB", "112 MB/s", 9.92)]
)
def test_a_drive_is_written_no_faster_than_its_size_over_its_speed(size, speed, hours):
    """16 TB at 200 MB/s take 22.2 h, 4 TB at 112 MB/s take 9.92 h: capacity over rate, by definition."""
    text = f"""
kinds: {{disk: {{is: drive, size: {size}, speed: {speed}}}}}
machines: {{box: {{is: node, drives: 2 disk}}}}
stores: {{pair: {{drives: box.d*, layout: mirror}}}}
"""
    heal = heals(stores(text)["pair"])["box.d1"]
    assert float(f"{heal.floor_s / HOUR_S:.3g}") == hours  # the digits that are printed
    assert heal.survives
    assert (heal.heals, heal.reason) == (False, "spare")


def test_a_mirror_over_the_wire_is_written_no_faster_than_a_port():
    """Two drives in two machines with ports of 112 MB/s: 4 TB take 9.92 h, however fast the drives."""
    text = """
kinds: {disk: {is: drive, size: 4 TB, speed: 500 MB/s}}
machines: {box-1..2: {is: node, drives: 1 disk, ports: {a: 112 MB/s}}}
stores: {pair: {drives: box-*.d*, layout: mirror}}
"""
    heal = heals(stores(text)["pair"])["box-1.d1"]
    assert heal.floor_s / HOUR_S == pytest.approx(9.92, rel=1e-3)
    assert "port" in heal.slowest


FOUR = """
kinds: {disk: {is: drive, size: 4 TB, speed: 100 MB/s}}
machines: {box-1..HOSTS: {is: node, drives: 1 disk, ports: {a: 10 Gb/s}}}
stores: {ring: {drives: box-*.d*, layout: 3 copies, apart: node}}
services: {s: {on: box-1, state in: ring}}
data: {book: {of: s, in: ring, size: 3 TB, grows: 1 GB/day}}
"""


def test_four_hosts_with_three_copies_heal():
    """With a fourth host the copies of a lost one are written elsewhere: 2.25 TB, onto three hosts."""
    store = stores(FOUR.replace("HOSTS", "4"))["ring"]
    assert store.usable == pytest.approx(16 * TB / 3)
    heal = heals(store)["box-2"]
    assert heal.survives
    assert heal.heals
    assert heal.usable == pytest.approx(4 * TB)
    assert heal.rewritten == pytest.approx(2.25 * TB)
    # three drives read 2.25 TB and write as much: 4.5 TB at 300 MB/s
    assert heal.floor_s == pytest.approx(4.5e12 / 300e6)


def test_three_hosts_with_three_copies_survive_and_cannot_heal():
    """With no fourth host there is nowhere to keep a third copy apart; what is there is all there still."""
    heal = heals(stores(FOUR.replace("HOSTS", "3"))["ring"])["box-2"]
    assert heal.survives
    assert (heal.heals, heal.reason) == (False, "domains")
    assert heal.rewritten == pytest.approx(3 * TB)


def test_a_fuller_ring_has_no_room_to_heal():
    """Five of 5.3 TB lie on four hosts; three hosts hold four."""
    heal = heals(stores(FOUR.replace("HOSTS", "4").replace("3 TB", "5 TB"))["ring"])["box-2"]
    assert heal.survives
    assert (heal.heals, heal.reason) == (False, "room")


def test_with_one_host_out_the_next_loss_is_told_with_it():
    """Three copies, two hosts out: what is left is one copy, and nothing heals from its loss."""
    store = stores(FOUR.replace("HOSTS", "3"), "box-1", "box-3")["ring"]
    assert [each.survives for each in store.heals] == [False]
    assert store.heals[0].floor_s is None


def test_full_when():
    """16/3 TB fit and 3 TB lie there: at 1 GB a day it is full after 2,333 days."""
    assert stores(FOUR.replace("HOSTS", "4"))["ring"].full_in_s == pytest.approx(7 / 3 * 1000 * DAY_S)


def test_more_than_fits_is_told():
    """Six TB on 4 TB are two too many, and it is full already."""
    store = stores(FOUR.replace("HOSTS", "3").replace("3 TB", "6 TB"))["ring"]
    assert store.over == pytest.approx(2 * TB)
    assert store.full_in_s == 0.0


def test_a_spare_that_is_large_enough_is_written_at_once():
    """A spare of 4 TB heals an array of 4 TB drives, one of 2 TB does not."""
    text = """
kinds: {disk: {is: drive, size: 4 TB}, small: {is: drive, size: 2 TB}}
machines: {box: {is: node, drives: {d1..3: disk, e1: LAST}}}
stores: {wall: {drives: box.*, layout: parity, spares: 1}}
"""
    assert heals(stores(text.replace("LAST", "disk"))["wall"])["box.d1"].heals
    assert heals(stores(text.replace("LAST", "small"))["wall"])["box.d1"].reason == "spare"
    assert stores(text.replace("LAST", "small"))["wall"].usable == pytest.approx(8 * TB)


def test_pairs_of_a_mirror_count_one_by_one():
    """One drive out spoils its own pair only: its twin is all there is, the other pair has a spare leg."""
    text = """
kinds: {disk: {is: drive, size: 4 TB}}
machines: {box: {is: node, drives: 4 disk}}
stores: {wall: {drives: box.d*, layout: mirror}}
"""
    found = heals(stores(text, "box.d1")["wall"])
    assert {name: each.survives for name, each in found.items()} == {
        "box.d2": False,
        "box.d3": True,
        "box.d4": True,
    }


def test_what_lies_on_a_store_by_the_way_of_services_and_backups():
    """Data in a service lie where its state does; a backup counts whole; a disk of a copy counts once a copy."""
    text = """
kinds: {disk: {is: drive, size: 4 TB}}
machines: {box-1..2: {is: node, drives: 2 disk, memory: 8 GiB}}
stores: {near: {drives: box-1.d*, layout: mirror}, far: {drives: box-2.d*, layout: mirror}}
pools: {p: {hosts: box-*, store: near}}
services:
  keeper: {on: box-2, state in: far}
  mail: {on: p, copies: 2, takes: {disk: 40 GB}}
  book: {on: box-1, state in: near}
data:
  letters: {of: mail, in: mail, size: 10 GB}
  pages: {of: book, in: book, size: 1 TB, backed up: {to: keeper}}
"""
    found = stores(text)
    assert [(each.what, each.sort) for each in found["near"].held] == [
        ("mail.1", "disk"),
        ("mail.2", "disk"),
        ("pages", "data"),
    ]
    assert [(each.what, each.sort, each.size) for each in found["far"].held] == [("pages", "backup", TB)]


def test_a_drive_without_a_size_leaves_it_open():
    """Where nobody said how large a drive is, nothing is said of the store but that."""
    text = """
kinds: {disk: {is: drive}}
machines: {box: {is: node, drives: 2 disk}}
stores: {pair: {drives: box.d*, layout: mirror}}
"""
    store = stores(text)["pair"]
    assert store.usable is None
    assert store.unsized == ("box.d1", "box.d2")
    assert store.heals == ()


@st.composite
def rings(draw):
    """A ring of machines with a drive or two each, and data on it."""
    data, check = draw(st.sampled_from([(1, 1), (1, 2), (2, 1)]))
    members = []
    for box in range(draw(st.integers(data + check + 1, 5))):
        for drive in range(draw(st.integers(1, 2))):
            size, speed = draw(st.integers(2, 9)) * 1e9, draw(st.integers(1, 9)) * 8e6
            members.append(
                Member(
                    drive=f"{box}.{drive}",
                    domain=f"{box}",
                    node=f"{box}",
                    size=size,
                    speed=speed,
                    port=draw(st.integers(1, 9)) * 8e6,
                )
            )
    sizes = {}
    for each in members:
        sizes[each.domain] = sizes.get(each.domain, 0.0) + each.size
    used = draw(st.floats(0.1, 1.0)) * data * shares_each(list(sizes.values()), data + check)
    return Spread(laid=tuple(members), members=tuple(members), spares=(), data=data, check=check, used=used)


@given(rings())
@settings(max_examples=60)
def test_no_way_of_spreading_the_writes_beats_the_floor(store):
    """A linear program over all ways of writing what is lost onto what is left: the floor is never above its time.

    Its variables are what each domain takes and the time; what a domain ends with stays under one share of the data.
    """
    from falsework.analyses.room.healing import _by_domain, _lies, _rate

    heal = heal_spread(store, "0", tuple(each.drive for each in store.members if each.domain == "0"))
    if not heal.heals:
        return
    lies = _lies(store)
    left = [each for each in store.members if each.domain != "0"]
    names = list(_by_domain(left))
    amount = heal.rewritten
    ports = {each.node: each.port for each in left}
    rows, bounds = [], []
    for at, name in enumerate(names):
        mine = [each for each in left if each.domain == name]
        takes = min(sum(each.size for each in mine), store.used / store.data) - sum(
            lies[each.drive] for each in mine
        )
        bounds.append((0, max(takes / 1e9, 0.0)))
        rows.append([1.0 if n == at else 0.0 for n in range(len(names))] + [-_rate(mine, wired=True) / 1e9])
    least = linprog(
        [0.0] * len(names) + [1.0],
        A_ub=rows,
        b_ub=[0.0] * len(rows),
        A_eq=[[1.0] * len(names) + [0.0]],
        b_eq=[amount / 1e9],
        bounds=[*bounds, (0, None)],
    )
    whole = 8 * amount * (1 + store.data) / sum(each.speed for each in left)
    wire = 8 * amount * store.data / sum(ports.values())
    assert least.success
    assert heal.floor_s == pytest.approx(max(least.fun, whole, wire), rel=1e-5)


@st.composite
def kept(draw):
    """A lab with one store over a few machines, data on it, and perhaps a drive that is out."""
    layout, least = draw(
        st.sampled_from(
            [
                ("single", 1),
                ("mirror", 2),
                ("parity", 3),
                ("double parity", 4),
                ("2 copies", 2),
                ("3 copies", 3),
                ("2+1 pieces", 3),
            ]
        )
    )
    boxes = [draw(st.integers(1, 2)) for _ in range(draw(st.integers(least, 5)))]
    drives = [f"box-{box}.d{drive}" for box, many in enumerate(boxes, 1) for drive in range(1, many + 1)]
    spares = draw(st.integers(0, 1)) if len(drives) > least else 0
    if layout == "mirror" and (len(drives) - spares) % 2:
        drives = drives[:-1]
    spares = (
        spares
        if len(drives) - spares >= least and not (layout == "mirror" and (len(drives) - spares) % 2)
        else 0
    )
    apart = draw(st.sampled_from(["drive", "node"])) if layout.endswith(("copies", "pieces")) else "drive"
    machines = "\n".join(
        f"  box-{box}: {{is: node, drives: {many} disk}}" for box, many in enumerate(boxes, 1)
    )
    text = f"""
kinds: {{disk: {{is: drive, size: 1 TB}}}}
machines:
{machines}
stores: {{ring: {{drives: [{", ".join(drives)}], layout: {layout}, apart: {apart}, spares: {spares}}}}}
services: {{s: {{on: box-1, state in: ring}}}}
data: {{book: {{of: s, in: ring, size: 1 GB}}}}
"""
    return text, draw(st.lists(st.sampled_from(drives), max_size=2, unique=True))


@given(kept())
@settings(max_examples=80)
def test_what_survives_a_loss_is_what_the_verdict_keeps(drawn):
    """A store survives the loss of these drives exactly where the data on it are kept, whatever is out already."""
    text, out = drawn
    standing = Standing(lab_of(f"falsework: 1\nlab: x\n{text}"), out=out)
    (store,) = stored(standing)
    views = standing.views([each.drives for each in store.heals])
    (name,) = [name for name in standing.support.keepings if name == "kept:book"]
    assert [each.survives for each in store.heals] == [view.kept(name) for view in views]
