"""Is the change that is true among those that are offered, is each one tried, and is nothing offered without need?"""

from __future__ import annotations

import gc
import re
import weakref
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.breaking import KINDS, variants
from tests.observing import observe, outage, probe, run
from tests.strategies import lab_data, lab_of, text_of, texts

from falsework.analyses.comparing import Sort, compare
from falsework.analyses.verdicts import single_verdicts
from falsework.errors import LabError
from falsework.findings.explaining import explain
from falsework.findings.explaining.explain import explained
from falsework.lab.read import read_texts
from falsework.model.build import build
from falsework.support.standing import Standing

pytestmark = pytest.mark.slow  # whole commands

TEXT = """\
lab: t
power:
  A: {is: strip}
  B: {is: strip}
  cell: {is: ups, fed by: A, runs: {100 W: 20 min}}      # second-hand
machines:
  n1: {is: node, fed by: A, draws: 20..100 W}
  n2: {is: node, fed by: [A, B], draws: 20..100 W}
  n3: {is: node, fed by: B, draws: 20..100 W}
  n4: {is: node, fed by: cell, draws: 20..100 W}
services:
  dns: {on: [n1, n3]}                     # the first to look at
  mail: {on: [n1, n3], takes over: 40 s}
  wiki: {on: n3, needs: [dns for 10 min]}
  chat: {on: n2}
  far: {on: n3, needs: {to run: [lone]}}
  lone: {on: n1}
  held: {on: n4}
"""


def only(*services):
    """The lab with these services alone, which is quicker to try changes on."""
    head, _, rest = TEXT.partition("services:\n")
    return f"{head}services:\n" + "".join(
        f"{row}\n" for row in rest.splitlines() if row.split(":")[0].strip() in services
    )


def offers(*probes, text=TEXT, lost=("n1",), earlier=(), **more):
    """What is offered for a run, each held to what must be true of it."""
    standing = Standing(lab_of(text))
    seen = run(lost, *probes, **more)
    before = compare(standing, seen)
    found = explained(standing, seen, earlier=earlier)
    for offer in found.offers:
        lab = build(read_texts({**standing.lab.files, **offer.changes.files}))
        after = compare(Standing(lab), seen)
        assert after.of(offer.for_).sort is Sort.AS_FORETOLD
        assert {line.thing for line in after.sorted(Sort.WRONG)} <= {
            line.thing for line in before.sorted(Sort.WRONG)
        }
        assert tuple(line.thing for line in after.sorted(Sort.WRONG)) == offer.left
        for name, now in offer.changes.files.items():
            assert re.findall("#.*", now) == re.findall("#.*", standing.lab.files[name])
    return found


def says(found):
    """The offers in words."""
    return ["; ".join(offer.says) for offer in found.offers]


@pytest.mark.parametrize(
    ("lost", "seen", "change"),
    [
        ("n1", probe("wiki", outage(60.0, 670.0)), "let wiki need n1"),
        ("n1", probe("wiki", outage(160.0, 670.0)), "let wiki need lone, and do without it for 1 min 40 s"),
        (
            "n1",
            probe("dns", outage(60.0, 80.0)),
            "one copy of dns serves at a time, and another takes over after 20 s",
        ),
        ("n1", probe("dns", outage(60.0, 670.0)), "dns serves with all its copies"),
        ("n1", probe("mail", outage(60.0, 240.0)), "taking over takes mail 3 min"),
        ("n1", probe("mail", outage(60.0, 62.0)), "taking over takes mail 1.9 s"),
        ("n1", probe("mail", outage(60.0, 670.0)), "let mail need lone to take over"),
        ("n1", probe("mail"), "all copies of mail serve at once, with nothing to take over"),
        ("n1", probe("far"), "let far not need lone"),
        ("n1", probe("far"), "let far do without lone for 10 min at least"),
        ("n1", probe("far", outage(180.0, 670.0)), "let far do without lone for 2 min"),
        ("n1", probe("lone"), "a copy of lone runs on n2 and not on n1"),
        ("A", probe("chat", outage(60.0, 670.0)), "n2 is fed only from A"),
        ("B", probe("chat", outage(60.0, 670.0)), "n2 is fed only from B"),
        ("A", probe("held", outage(360.0, 670.0)), "cell lasts 5 min"),
    ],
)
def test_each_kind_of_change_is_thought_of(lost, seen, change):
    """By hand: what was seen, and the change that anybody would name."""
    services = {"wiki": ("dns", "wiki", "lone"), "far": ("far", "lone"), "mail": ("mail", "lone")}
    text = only(*services.get(seen.sees, (seen.sees,)))
    assert change in says(offers(seen, lost=(lost,), text=text))


def test_the_smallest_and_likeliest_come_first():
    """A time that is off goes before a need that is missing, and one change before two."""
    found = offers(probe("mail", outage(60.0, 240.0)), text=only("mail"))
    assert says(found)[0] == "taking over takes mail 3 min"
    assert [offer.size for offer in found.offers] == sorted(offer.size for offer in found.offers)


def test_one_change_that_explains_all_goes_before_those_that_explain_a_part():
    """Two services that fell for one reason."""
    both = probe("dns", outage(60.0, 670.0)), probe("wiki", outage(60.0, 670.0))
    text = only("dns", "wiki").replace("dns for 10 min", "dns")
    first = offers(*both, text=text).offers[0]
    assert (first.left, set(first.rights)) == ((), {"dns", "wiki"})


def blinks_with_mail():
    """What a service is seen to do that needs mail, which its file does not say, and takes long to restart."""
    return probe("mail", outage(60.0, 100.0)), probe("chat", outage(60.0, 360.0))


def test_two_changes_where_one_does_not_do():
    """A need that is not written down alone gives too short an interruption, and a longer restart alone gives none."""
    found = offers(*blinks_with_mail(), text=only("mail", "chat"))
    assert {offer.size for offer in found.offers} == {2}
    assert found.offers[0].says == ("let chat need mail", "a restart takes chat 4 min 20 s")
    assert found.unexplained == ()


@pytest.mark.slow
def test_one_change_of_a_need_of_several():
    """It may hold longer, be none, or count only to start: one change does, so that no two are offered."""
    text = TEXT.replace(
        "{on: n3, needs: [dns for 10 min]}", "{on: n3, needs: [{of: [lone, mail], enough: 2}]}"
    )
    found = offers(probe("wiki"), probe("mail", outage(60.0, 95.0)), text=text)
    assert "let wiki not need lone and mail" in says(found)
    assert {offer.size for offer in found.offers} == {1}


@pytest.mark.slow
def test_a_change_that_other_runs_speak_against_comes_later():
    """A need on n1 or on the strip: a run in which n1 alone was lost, and all stood, tells."""
    seen = probe("chat", outage(60.0, 670.0))
    before = run(["n1"], probe("chat"), number=2)
    alone = says(offers(seen, lost=("A",), text=only("chat")))
    told = offers(seen, lost=("A",), earlier=[before], text=only("chat"))
    assert sorted(alone) == sorted(says(told))
    against = [offer for offer in told.offers if offer.earlier[1]]
    assert "let chat need n1" in ["; ".join(offer.says) for offer in against]
    assert told.offers[0].earlier == (0, 0)


def test_what_nothing_explains_is_said():
    """A service that fell twice is nothing that a change of the file makes."""
    twice = probe("mail", outage(60.0, 100.0), outage(300.0, 330.0))
    found = offers(twice)
    assert (found.offers, found.unexplained) == ((), ("mail",))


def test_without_the_text_nothing_is_offered():
    """A lab that was made in no file has none to change."""
    standing = Standing(replace(lab_of(TEXT), files={}))
    found = explained(standing, run(["n1"], probe("wiki", outage(60.0, 670.0))))
    assert (found.offers, found.unexplained, found.tried) == ((), ("wiki",), 0)


def test_labs_that_were_tried_are_let_go_and_made_anew(monkeypatch):
    """However few are kept, the same is offered after as many trials, and none goes beyond what was announced."""
    standing = Standing(lab_of(only("mail", "chat")))
    seen = run(["n1"], *blinks_with_mail())
    told, kept, alive = [], [], []
    real = explain.tried

    def spy(at, texts):
        found = real(at, texts)
        kept.append(weakref.ref(found))
        return found

    def progress(_, done, of):
        told.append((done, of))
        if done % 12 == 0:
            gc.collect()
            alive.append(sum(1 for each in kept if each() is not None))

    whole = explained(standing, seen)
    monkeypatch.setattr(explain, "KEPT", 2)
    monkeypatch.setattr(explain, "tried", spy)
    assert explained(standing, seen, progress=progress) == whole
    assert whole.offers
    assert [done for done, _ in told] == list(range(1, whole.tried + 1))
    assert all(done <= of for done, of in told)
    assert len(kept) > 8 >= max(alive) > 0


@settings(max_examples=8, deadline=None)
@given(text=texts(), data=st.data())
def test_a_drill_that_went_as_foretold_gets_no_change_offered(text, data):
    """No false alarm: where the lab is as its file says, nothing is tried and nothing offered."""
    standing = Standing(lab_of(text))
    found = explained(standing, observe(standing, [data.draw(st.sampled_from(standing.parts))]))
    assert (found.offers, found.unexplained, found.tried) == ((), (), 0)


def standing_of(data):
    """The lab in plain data; None where it is none."""
    try:
        return Standing(lab_of(text_of(data)))
    except LabError:
        return None


def as_true(true, said, offer):
    """Whether a change gives the same verdicts as the truth after the loss of every part."""
    lab = build(read_texts({**said.lab.files, **offer.changes.files}))
    now = Standing(lab)
    parts = [part for part in true.parts if part in now.parts]
    return (single_verdicts(true, parts) == single_verdicts(now, parts)).all()


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
@settings(max_examples=2, deadline=None)
@given(data=lab_data(most_nodes=3), pick=st.randoms(use_true_random=False))
def test_the_true_change_is_among_those_offered(kind, data, pick):
    """A file that is wrong in one point, watched in a drill that shows it: that point, or what foretells all the same.

    `benchmarks/explaining.py` counts it over many more labs.
    """
    found = list(variants(kind, data))
    if not found:
        return
    truth, file = pick.choice(found)
    true, said = standing_of(truth), standing_of(file)
    if true is None or said is None:
        return
    parts = [part for part in true.parts if part in said.parts and "supply" not in part]
    pick.shuffle(parts)
    for part in parts[:6]:
        seen = observe(true, [part])
        comparison = compare(said, seen)
        if comparison.as_foretold or not any(
            line.sort in (Sort.WRONG, Sort.SLOWER, Sort.FASTER) for line in comparison.lines
        ):
            continue
        offers = explained(said, seen).offers
        assert any(as_true(true, said, offer) for offer in offers), (
            kind,
            part,
            [each.says for each in offers],
        )
        return


def test_a_copy_that_is_stopped_by_hand_is_explained_like_a_part_that_is_lost():
    """Its take-over took longer than the file says: the time that was seen is offered."""
    found = offers(probe("mail", outage(60.0, 200.0)), text=only("mail"), lost=("mail.1",))
    assert says(found)[0] == "taking over takes mail 2 min 20 s"


def test_a_store_that_was_full_is_explained_like_one_that_is_lost():
    """What fell with it though it should stand may need it."""
    text = TEXT.partition("services:")[0].replace("n1: {", "n1: {drives: 2 disk, ") + (
        "kinds: {disk: {is: drive}}\nstores: {shelf: {drives: n1.d*, layout: mirror}}\nservices: {wiki: {on: n3}}\n"
    )
    found = offers(probe("wiki", outage(60.0, 670.0)), text=text, lost=("shelf",), tries="full disk")
    assert "let wiki need shelf" in says(found)


@pytest.mark.parametrize("pressed", [False, True])
def test_a_search_that_is_ended_keeps_what_it_found(pressed):
    """Out of time, or on Ctrl-C, what was tried by then is told, and that there was more to try."""
    standing = Standing(lab_of(only("mail", "chat")))
    seen = run(["n1"], *blinks_with_mail())
    whole = explained(standing, seen)
    assert whole.complete
    first = whole.tried - 1
    for most in (1, first):

        def progress(_, done, _of, most=most):
            if pressed and done > most:
                raise KeyboardInterrupt

        asked = iter(range(most))
        some = explained(
            standing,
            seen,
            progress=progress,
            stopped=lambda left=asked: not pressed and next(left, None) is None,
        )
        assert not some.complete
        assert some.tried <= most + 1
        assert {offer.says for offer in some.offers} <= {offer.says for offer in whole.offers}
    assert some.offers
