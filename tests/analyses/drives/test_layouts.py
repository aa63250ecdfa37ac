"""Which layouts are there, what do they survive, how much fits, and which is recommended?"""

from __future__ import annotations

from collections import defaultdict
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.model.texts import lab_of

from falsework.analyses.drives.choosing import choices
from falsework.analyses.drives.comparing import compared, plans_of
from falsework.analyses.drives.front import front, pruned, used
from falsework.analyses.drives.network import usable_keeping
from falsework.analyses.drives.recommending import ENOUGH, best, meets
from falsework.analyses.drives.result import Apart
from falsework.analyses.drives.surviving import cut_off, heals, survives
from falsework.analyses.drives.telling import layout, nearest_says, nothing_says, shown
from falsework.analyses.drives.whole import drives, question
from falsework.analyses.room.storing import stored
from falsework.engines.usable import usable_spread
from falsework.errors import QuestionError
from falsework.support.standing import Standing

TB = 1e12

SMALL = """\
lab: l
kinds:
  sled: {is: node, bays: 2}
  big: {is: drive, size: 4 TB}
  old: {is: drive, size: 2 TB}
machines:
  twin-1..2: {is: enclosure, holds: {a..b: sled}}
  shelf: {is: enclosure, holds: {x..y: {is: node}}, bays: 3}
  box: {is: node, bays: 4}
heaps:
  crate: {drives: [6 big, 5 old]}
"""


def asked(text, room=None):
    """The question that the only heap of a lab asks."""
    lab = lab_of(text)
    return question(lab, lab.heaps[0], room)


def plan_of(text, scheme, apart, spares=0):
    """The layout with this scheme that takes most drives."""
    those = [
        each
        for each in plans_of(asked(text))
        if (each.scheme, each.apart, each.spares) == (scheme, apart, spares)
    ]
    return max(those, key=lambda each: len(used(each)))


def written(plan, bays):
    """The same drives as a lab in which the layout stands as stores, one for each group or machine.

    Returns the lab's text and, by new name, which drive of the heap each is.
    """
    held = defaultdict(list)
    stores = []
    for number, group in enumerate(plan.groups):
        names = []
        for each in group.sticks:
            held[each.bay].append(each)
            names.append(f"{each.bay}.d{len(held[each.bay])}")
        bay = next(one for one in bays if one.holder == group.sticks[0].bay)
        apart = plan.apart if plan.apart is not Apart.IN_ONE else "drive"
        through = (
            bay.nodes
            if plan.apart is Apart.IN_ONE
            else sorted(
                {
                    node
                    for one in bays
                    for node in one.nodes
                    if one.holder in {each.bay for each in group.sticks}
                }
            )
        )
        stores.append(
            f"  s{number}: {{drives: [{', '.join(names)}], layout: {plan.scheme}, apart: {apart}, "
            f"through: [{', '.join(through)}]}}"
        )
    kinds = [
        f"  {each.bay.replace('.', '-')}-{n}: {{is: drive, size: {each.size_bytes / TB:g} TB}}"
        for those in held.values()
        for n, each in enumerate(those, 1)
    ]

    def inside(holder):
        parts = ", ".join(f"d{n}: {holder.replace('.', '-')}-{n}" for n, _ in enumerate(held[holder], 1))
        return f"drives: {{{parts}}}" if held[holder] else "drives: []"

    twins = [
        f"  twin-{n}: {{is: enclosure, holds: {{a: {{is: node, {inside(f'twin-{n}.a')}}}, "
        f"b: {{is: node, {inside(f'twin-{n}.b')}}}}}}}"
        for n in (1, 2)
    ]
    return "\n".join(
        [
            "lab: l",
            "kinds:",
            *kinds,
            "machines:",
            *twins,
            f"  shelf: {{is: enclosure, holds: {{x..y: {{is: node}}}}, {inside('shelf')}}}",
            f"  box: {{is: node, {inside('box')}}}",
            "stores:",
            *stores,
        ]
    )


PLANS = pruned(plans_of(asked(SMALL)))


@pytest.mark.parametrize("plan", PLANS[::3], ids=lambda plan: f"{plan.scheme} {plan.apart} {plan.spares}")
def test_what_a_layout_survives_is_what_its_stores_survive_in_the_lab(plan):
    """Every set of lost drives, nodes and enclosures tried one by one on the lab written with the layout as stores."""
    bays = asked(SMALL).bays
    standing = Standing(lab_of(written(plan, bays)))
    stores = [f"s{number}" for number in range(len(plan.groups))]
    used_bays = [each for each in bays if each.holder in {one.bay for g in plan.groups for one in g.sticks}]
    parts = {
        "drives": [str(d) for name in stores for d in standing.lab.things[name].drives.ids],
        "nodes": sorted({node for each in used_bays for node in each.nodes}),
        "enclosures": sorted({each.enclosure for each in used_bays}),
    }
    told = survives(plan, bays)
    for word, names in parts.items():
        count = getattr(told, word)

        def stand(size, names=names):
            views = standing.views(list(combinations(names, size)))
            return all(view.up(store) for view in views for store in stores)

        assert stand(count), (word, count)
        assert count == len(names) or not stand(count + 1), (word, count)


@pytest.mark.parametrize("plan", PLANS[::5], ids=lambda plan: f"{plan.scheme} {plan.apart} {plan.spares}")
def test_room_is_what_the_room_of_the_same_stores_is(plan):
    """The same drives as stores of a lab: the analysis of room gives the same, where nothing is kept free."""
    if plan.spares and plan.apart is not Apart.IN_ONE:
        return
    lab = lab_of(written(plan, asked(SMALL).bays))
    assert sum(each.usable for each in stored(Standing(lab))) == pytest.approx(plan.usable_bytes)


def test_mixed_sizes_by_hand():
    """Four drives of 4, 4, 2, 2 TB in two machines of two bays: by copies 6 TB; mirrored in each machine 4 + 2 TB."""
    text = """\
lab: l
kinds: {big: {is: drive, size: 4 TB}, old: {is: drive, size: 2 TB}}
machines: {one: {is: node, bays: 2}, two: {is: node, bays: 2}}
heaps: {crate: {drives: [2 big, 2 old]}}
"""
    copies = plan_of(text, "2 copies", Apart.NODE)
    assert copies.usable_bytes == 6 * TB
    assert sorted((each.bay, each.size_bytes / TB) for each in copies.groups[0].sticks) == [
        ("one", 2),
        ("one", 4),
        ("two", 2),
        ("two", 4),
    ]
    mirrors = plan_of(text, "mirror", Apart.IN_ONE)
    assert mirrors.usable_bytes == 6 * TB
    assert [len({each.size_bytes for each in group.sticks}) for group in mirrors.groups] == [1, 1]
    # A drive of 4 TB lost leaves 2 and 6 TB apart: copies of 2 TB.
    assert heals(copies, asked(text).bays).drive_bytes == 2 * TB
    assert heals(copies, asked(text).bays).node_bytes == 0


def test_an_array_counts_every_drive_as_its_smallest():
    """Parity over 4, 4, 2 TB holds (3 - 1) x 2 TB: Patterson, Gibson, Katz (1988), unequal drives to the smallest."""
    text = """\
lab: l
kinds: {big: {is: drive, size: 4 TB}, old: {is: drive, size: 2 TB}}
machines: {one: {is: node, bays: 3}}
heaps: {crate: {drives: [2 big, 1 old]}}
"""
    assert plan_of(text, "parity", Apart.IN_ONE).usable_bytes == 4 * TB
    # The two large ones mirrored hold as much, with one drive less.
    assert plan_of(text, "mirror", Apart.IN_ONE).usable_bytes == 4 * TB


BATCH = """\
lab: l
kinds:
  d: {is: drive, size: 2 TB, fails: 3..7 %/year, read errors: 1e-15 /bit, with others: 10 %}
  k: {kind: d, batch: k7}
  j: {kind: d, batch: j2}
machines: {one: {is: node, bays: 4}}
heaps: {crate: {drives: [2 k, 2 j]}}
"""


def test_a_batch_is_dealt_over_the_mirrors():
    """Common-cause drives: two of one batch and two of another become two mirrors, each with one of either."""
    mirrors = plan_of(BATCH, "mirror", Apart.IN_ONE)
    assert [sorted(each.batch for each in group.sticks) for group in mirrors.groups] == [["j2", "k7"]] * 2


@pytest.mark.parametrize("other", ["batch: k7", "batch: j2", "about: another"])
def test_a_mirror_of_one_batch_is_less_durable_and_one_of_two_is_not(other):
    """The trap of drives of one batch, with false alarms: another batch, or none, adds no common cause."""
    text = BATCH.replace("batch: j2", other).replace("[2 k, 2 j]", "[1 k, 1 j]").replace("bays: 4", "bays: 2")
    (only,) = compared(asked(text)).layouts
    assert only.plan.scheme == "mirror"
    assert (only.usual.together > 0) == (other == "batch: k7")


def test_a_batch_is_gathered_where_pieces_are_apart():
    """Two drives of a batch in the bays of one machine take one copy of each datum; spread they would take both."""
    text = """\
lab: l
kinds: {k: {is: drive, size: 2 TB, batch: k7}, j: {is: drive, size: 2 TB, batch: j2}}
machines: {one: {is: node, bays: 2}, two: {is: node, bays: 2}}
heaps: {crate: {drives: [2 k, 2 j]}}
"""
    plan = plan_of(text, "2 copies", Apart.NODE)
    (group,) = plan.groups
    assert {each.bay: each.batch for each in group.sticks} in (
        {"one": "k7", "two": "j2"},
        {"one": "j2", "two": "k7"},
    )
    # Only while a drive of the other batch is out; taking both copies at once would be 2e-3 a year.
    assert compared(asked(text)).layouts[0].usual.together < 1e-5


def test_what_an_enclosure_holds_too_much_of_is_told():
    """Three copies over two twins and a box: two nodes of one twin may go, but not the third place with them."""
    plan = plan_of(SMALL, "3 copies", Apart.NODE)
    told = survives(plan, asked(SMALL).bays)
    assert (told.drives, told.enclosures) == (2, 1)
    apart = plan_of(SMALL, "3 copies", Apart.ENCLOSURE)
    assert survives(apart, asked(SMALL).bays).enclosures == 2


def test_a_machine_that_fails_cuts_off_what_lies_in_it_alone():
    """A mirror in a box is out of reach as often as the box fails; copies apart by node never are."""
    fails = {"box": 0.07, "twin-1.a": 0.05, "twin-1": 0.02}
    bays = asked(SMALL).bays
    mirror = next(
        each
        for each in plans_of(asked(SMALL))
        if each.scheme == "mirror" and {one.bay for g in each.groups for one in g.sticks} == {"box"}
    )
    assert cut_off(mirror, bays, fails) == pytest.approx(0.07)
    assert cut_off(plan_of(SMALL, "2 copies", Apart.NODE), bays, fails) == pytest.approx(0.02)
    assert cut_off(plan_of(SMALL, "2 copies", Apart.ENCLOSURE), bays, fails) == 0


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.lists(st.integers(1, 4), min_size=1, max_size=3), min_size=2, max_size=4),
    st.integers(1, 3),
    st.integers(1, 2),
    st.integers(0, 2),
)
def test_kept_room_is_the_worst_of_all_losses(sizes, data, check, kept):
    """Room that is kept free is what still fits after any so many drives are gone, each set tried."""
    sizes = [sorted(each, reverse=True) for each in sizes]
    every = [(domain, place) for domain, those in enumerate(sizes) for place in range(len(those))]
    worst = min(
        usable_spread(
            [
                total
                for domain, those in enumerate(sizes)
                if (total := sum(s for place, s in enumerate(those) if (domain, place) not in gone))
            ],
            data=data,
            check=check,
        )
        for gone in combinations(every, kept)
    )
    assert usable_keeping(sizes, data=data, check=check, kept=kept) == pytest.approx(worst)


@settings(max_examples=15, deadline=None)
@given(
    st.lists(st.sampled_from(["2 old", "1 big", "3 old", "2 big"]), min_size=1, max_size=3),
    st.integers(0, 2),
)
def test_no_bay_holds_two_drives_and_no_drive_is_in_two(held, most_lost):
    """Whatever lies in the heap: every drive once at the most, no machine with more than it has bays."""
    text = SMALL.replace("[6 big, 5 old]", f"[{', '.join(held)}], most lost: {most_lost}")
    question = asked(text)
    free = {each.holder: each.free for each in question.bays}
    for plan in plans_of(question):
        sticks = [each for group in plan.groups for each in (*group.sticks, *group.spares)]
        assert len({each.name for each in sticks}) == len(sticks)
        for holder, count in free.items():
            assert sum(each.bay == holder for each in sticks) <= count
        assert sorted([*(each.name for each in sticks), *plan.idle]) == sorted(
            each.name for each in question.sticks
        )
        assert plan.usable_bytes <= sum(each.size_bytes for each in sticks)


def test_pruning_drops_only_what_takes_more_for_no_more_room():
    """Each layout that is dropped has a kept one of its scheme with as much room on some of its drives."""
    every = plans_of(asked(SMALL))
    kept = pruned(every)
    assert 0 < len(kept) < len(every)
    for plan in every:
        assert any(
            other.scheme == plan.scheme
            and other.apart is plan.apart
            and other.spares == plan.spares
            and other.usable_bytes >= plan.usable_bytes
            and used(other) <= used(plan)
            for other in kept
        )


@given(st.lists(st.tuples(st.integers(0, 3), st.integers(0, 3), st.integers(0, 3)), max_size=12))
def test_the_front_is_what_nothing_is_better_than(points):
    """On it nothing is worse in all respects; beside it everything is covered by something on it."""
    kept = front([(number, tuple(map(float, each))) for number, each in enumerate(points)])
    for number in range(len(points)):
        covered = [
            other
            for other in kept
            if other != number and all(a >= b for a, b in zip(points[other], points[number], strict=True))
        ]
        assert bool(covered) == (number not in kept)


def test_many_sorts_are_not_taken_in_every_combination():
    """Up to five sorts every set; of nine sorts those from a size up, one size, a rate, one sort: few, the whole first."""
    kinds = ", ".join(f"k{n}: {{is: drive, size: {n} TB}}" for n in range(1, 10))
    heap = ", ".join(f"1 k{n}" for n in range(1, 10))
    text = f"lab: l\nkinds: {{{kinds}}}\nmachines: {{one: {{is: node, bays: 9}}}}\nheaps: {{crate: {{drives: [{heap}]}}}}\n"
    found = choices(asked(text).sticks)
    assert len(found[0]) == 9
    assert len(found) < 30
    few = "lab: l\nkinds: {a: {is: drive, size: 1 TB}, b: {is: drive, size: 2 TB}}\nmachines: {one: {is: node, bays: 4}}\nheaps: {crate: {drives: [2 a, 2 b]}}\n"
    assert len(choices(asked(few).sticks)) == 3


WANT = """\
lab: l
kinds: {d: {is: drive, size: 2 TB, fails: 1 %/year, read errors: 1e-15 /bit, speed: 150 MB/s, draws: 5..8 W}}
machines: {one: {is: node, bays: 3}, two: {is: node, bays: 3}, three: {is: node, bays: 3}}
heaps: {crate: {drives: [9 d], wanted: 4 TB}}
"""


def only(text, **options):
    """What is found of the only heap."""
    (heap,) = drives(lab_of(text), **options).heaps
    return heap


def test_the_recommended_one_gives_what_is_wanted_and_goes_on_without_a_node():
    """It holds the room, survives what it must, and no other that does is better by the stated order."""
    heap = only(WANT)
    chosen = layout(heap, heap.recommended)
    assert meets(chosen, heap.wanted)
    assert chosen.survives.nodes >= 1
    assert chosen.usual.lost <= ENOUGH
    assert best([each for each in heap.layouts if each.front], heap.wanted)[0].number == chosen.number
    assert shown(heap)[0].number == chosen.number
    assert heap.reason.startswith("it holds the 4.0 TB that are wanted, survives the loss of any")


def test_none_meets_says_what_comes_nearest_and_what_is_needed():
    """18 TB raw can't give 20 TB with a drive to spare; 3 drives more in 3 bays more give 10 + 2 drives' worth or so."""
    heap = only(WANT, want="20 TB")
    assert heap.recommended is None
    close = layout(heap, heap.nearest)
    assert close.usable_bytes == max(each.usable_bytes for each in heap.layouts if each.survives.drives >= 1)
    assert heap.needed
    count = int(heap.needed[0].split()[0])
    more = WANT.replace("9 d", f"{9 + count} d").replace("bays: 3", f"bays: {3 + -(-count // 3)}")
    assert only(more, want="20 TB").recommended is not None


def test_disputed_figures_are_told_at_both_ends():
    """Lower rates and no read errors are never worse, and the usual figure lies between the ends."""
    text = WANT.replace("fails: 1 %/year", "fails: 1..4 %/year, batch: k7")
    heap = only(text)
    assert [each.what for each in heap.disputed] == [
        "how often drives fail",
        "read errors",
        "what a batch has in common",
    ]
    assert all(each.low <= each.high for each in heap.disputed)
    for each in heap.layouts:
        assert each.low.lost <= each.usual.lost <= each.high.lost


def test_a_rebuild_reads_as_many_drives_as_are_needed():
    """Parity over 8 of 16 TB at 1e-14 reads 7 x 16 TB: 8.96 errors expected, 0.99987 for one or more (checks E09, E10)."""
    text = """\
lab: l
kinds: {d: {is: drive, size: 16 TB, read errors: 1e-14 /bit, speed: 200 MB/s}}
machines: {one: {is: node, bays: 8}}
heaps: {crate: {drives: [8 d], rebuild gets: 100 %}}
"""
    heap = only(text)
    parity = next(e for e in heap.layouts if e.plan.scheme == "parity" and len(e.plan.groups[0].sticks) == 8)
    assert parity.read_errors == pytest.approx(8.96)
    assert parity.read_chance == pytest.approx(0.99987, abs=1e-4)
    # E26: 16 TB at 200 MB/s take 22.2 h.
    assert parity.rebuild_s / 3600 == pytest.approx(22.2, rel=2e-3)
    # E23: parity of n gives (n - 1) / n.
    assert parity.usable_bytes == pytest.approx(7 / 8 * 8 * 16 * TB)


def test_more_drives_than_bays_leave_some_out():
    """No fault: what does not fit stays out, the smallest first."""
    text = WANT.replace("9 d", "12 d").replace("wanted: 4 TB", "most lost: 1")
    heap = only(text)
    assert all(len(each.plan.idle) >= 3 for each in heap.layouts)


@pytest.mark.parametrize(
    ("change", "says"),
    [
        (("bays: 3", "about: none"), "no free bay"),
        (("size: 2 TB, ", ""), "tells its size"),
    ],
)
def test_what_can_not_be_laid_out_is_told_and_no_fault(change, says):
    """No bay, no size: nothing is recommended, and the reason and what is needed are told."""
    heap = only(WANT.replace(*change))
    assert heap.recommended is None
    assert heap.layouts == ()
    assert says in nothing_says(heap)
    assert heap.needed


def test_one_drive_survives_nothing():
    """What comes nearest then is the drive itself, and it is told that it does not survive what it must."""
    heap = only(WANT.replace("9 d", "1 d"))
    assert heap.recommended is None
    assert "survives the loss of no drive, not of any drive" in nearest_says(heap, layout(heap, heap.nearest))


@pytest.mark.parametrize(
    ("options", "what"),
    [
        ({"want": "much"}, "--want: 'much' is not"),
        ({"want": "0 TB"}, "is no room"),
        ({"heaps": ("crat",)}, "no heap is called 'crat'"),
    ],
)
def test_a_bad_question_is_told_with_its_mend(options, what):
    """A room that is none, a heap that is none."""
    with pytest.raises(QuestionError) as told:
        drives(lab_of(WANT), **options)
    assert what in told.value.what
    assert told.value.mend


def test_a_lab_without_drives_is_told_what_to_write():
    """Neither heap nor store."""
    with pytest.raises(QuestionError) as told:
        drives(lab_of("lab: l\nmachines: {one: {is: node}}\n"))
    assert "no heap and no store" in told.value.what


def test_stopped_it_gives_what_was_compared_so_far():
    """Ctrl-C after some layouts: those come back, and it says that it was stopped."""

    def stop(what, done, of):
        if what == "weighing layouts" and done:
            raise KeyboardInterrupt

    question = asked(SMALL)
    found = compared(question, tell=stop)
    assert not found.complete
    assert 0 < len(found.layouts) < len(compared(question).layouts)


def test_a_single_drive_is_only_offered_where_none_need_be_survived():
    """`most lost: 0` brings layouts without redundancy, that lose data as often as a drive fails."""
    text = WANT.replace("9 d", "1 d").replace("wanted: 4 TB", "most lost: 0")
    heap = only(text)
    (single,) = heap.layouts
    assert single.plan.scheme == "single"
    assert single.usual.lost == pytest.approx(0.00995, rel=1e-2)  # 1 - exp(-0.01)
    assert "single" not in {each.plan.scheme for each in only(WANT).layouts}


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize(
    "kind",
    [
        "size: 1 B, speed: 1 Tb/s",
        "size: 9999999 TB, speed: 1 b/s, fails: 900 %/year",
        "size: 2 TB, fails: 0 %/year, read errors: 0 /bit",
        "size: 2 TB, mends in: 900 days, batch: b, with others: 100 %",
        "size: 2 TB, mends in: 1 ms, seen: 3 in 20 years",
    ],
)
def test_odd_drives_give_chances_and_no_defect(kind):
    """A drive of a byte, one that takes ages, one that never fails, one that is never mended: chances from 0 to 1."""
    heap = only(f"""\
lab: l
kinds: {{d: {{is: drive, {kind}}}}}
machines: {{one: {{is: node, bays: 6}}, two: {{is: node, bays: 3}}, three: {{is: node, bays: 1}}}}
heaps: {{crate: {{drives: [9 d]}}}}
""")
    assert heap.layouts
    for each in heap.layouts:
        for odds in (each.low, each.usual, each.high):
            assert 0 <= odds.lost <= 1
            assert odds.mean_s > 0
        assert each.rebuild_s > 0
