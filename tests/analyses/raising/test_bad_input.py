"""Does bad input about raising a lab get a clear word with its place and a mend, or the smallest reason?"""

from __future__ import annotations

import datetime

import pytest
from tests.strategies import lab_of

from falsework.analyses.raising.plan import plan
from falsework.analyses.raising.schedule import schedule
from falsework.errors import LabError, QuestionError
from falsework.findings.rules.raising import order as order_findings
from falsework.support.standing import Standing

AROUND = """
lab: Two desks
machines: {desk-1..2: node}
services:
  names: {on: desk-1, reached at: 10.0.0.5}
  pages: {on: desk-2, needs: [names]}
"""
SOUND = """stand-ins:
  laptop: {for: names, costs: 1 h}
"""

UNREADABLE = {
    "order: [{do: carry, brings: dsk-1}]": (
        "lab.yaml:9:29 (order[0].brings): no thing is called 'dsk-1'. Did you mean 'desk-1'?"
    ),
    "order: [{do: lend it, with: lptop}]": (
        "lab.yaml:9:29 (order[0].with): no thing is called 'lptop'. Did you mean 'laptop'?"
    ),
    "order: [{do: carry, brings: desk-1, by: nobody}]": (
        "lab.yaml:9:41 (order[0].by): no person is called 'nobody'. The lab has no person yet; add one."
    ),
    "order: [{do: carry, brings: desk-1, repoints: pagse}]": (
        "lab.yaml:9:47 (order[0].repoints): no thing is called 'pagse'. Did you mean 'pages'?"
    ),
}


@pytest.mark.parametrize("said", UNREADABLE)
def test_an_order_that_names_unknown_things_is_refused(said):
    """The whole message: where, what, and the nearest thing that there is."""
    with pytest.raises(LabError) as caught:
        lab_of(AROUND + SOUND + said + "\n")
    assert str(caught.value) == UNREADABLE[said]


SLIPS = {
    "brings and retires a thing": (
        "order: [{do: carry, brings: [desk-1, desk-2, names], retires: desk-1}, {do: more, brings: pages}]",
        "step 1 brings desk-1 and retires it as well, so it undoes itself",
    ),
    "lends and retires a stand-in, and does nothing else": (
        "order: [{do: lend, with: laptop, retires: laptop}, {do: carry, brings: [names, pages]}]",
        "step 1 brings laptop and retires it as well, so it undoes itself",
    ),
    "retires what is not there": (
        "order: [{do: all, brings: [names, pages]}, {do: more, retires: laptop}]",
        "step 2 speaks of laptop, which is not there at that time",
    ),
    "brings a thing twice": (
        "order: [{do: all, brings: [names, pages]}, {do: again, brings: names}]",
        "step 2 brings names, which is there since an earlier step",
    ),
    "forgets a service": ("order: [{do: some, brings: names}]", "no step brings pages"),
    "lends a stand-in and leaves it": (
        "order: [{do: lend, with: laptop}, {do: all, brings: [names, pages]}]",
        "laptop is never retired",
    ),
}


@pytest.mark.parametrize("case", SLIPS)
def test_a_step_that_contradicts_itself_or_others_is_told(case):
    """What is wrong is said with the place of the step and a way to mend it."""
    from falsework.analyses.order import replay

    said, says = SLIPS[case]
    standing = Standing(lab_of(AROUND + SOUND + said + "\n"))
    found = {finding.says: finding for finding in order_findings(replay(standing.lab, standing=standing))}
    assert says in found, list(found)
    assert found[says].mend
    assert (found[says].where.file, found[says].where.line) == ("lab.yaml", 9)


ON_ITSELF = AROUND + "stand-ins:\n  mirror: {for: names, costs: 1 h, needs: [names]}\n"


def test_a_stand_in_that_needs_what_it_stands_in_for_is_no_help():
    """By hand: a mirror of the names needs the names, so it can't be lent first; the order that tries is told so."""
    from falsework.analyses.order import replay

    text = ON_ITSELF.replace("desk-1..2: node", "desk-1..2: {is: node, needs: {to build: [names]}}")
    found = plan(Standing(lab_of(text)), from_nothing=True)
    assert {"desk-1", "desk-2", "names", "pages"} <= set(found.stuck)
    standing = Standing(lab_of(text + "order: [{do: lend, with: mirror}]\n"))
    slips = replay(standing.lab, standing=standing).slips
    assert [(slip.what, slip.thing, slip.on) for slip in slips if slip.what == "on itself"] == [
        ("on itself", "mirror", "names")
    ]


STUCK = {
    "two that build each other": (
        "machines: {desk: node}\nservices:\n  a: {on: desk, needs: {to build: [b]}}\n"
        "  b: {on: desk, needs: {to build: [a]}}\n",
        {"a", "b"},
    ),
    "a longer ring beside a shorter one": (
        "machines: {desk: node}\nservices:\n  a: {on: desk, needs: {to build: [b]}}\n"
        "  b: {on: desk, needs: {to build: [c]}}\n  c: {on: desk, needs: {to build: [d]}}\n"
        "  d: {on: desk, needs: {to build: [a]}}\n"
        "  e: {on: desk, needs: {to build: [f]}}\n  f: {on: desk, needs: {to build: [e, a]}}\n",
        {"e", "f"},
    ),
    "one that needs itself": (
        "machines: {desk: {is: node, needs: {to build: [a]}}}\nservices: {a: desk}\n",
        {"a", "desk"},
    ),
}


@pytest.mark.parametrize("case", STUCK)
def test_where_no_plan_is_possible_the_smallest_reason_is_given(case):
    """Not a shrug: the shortest ring of things that wait for each other, and what one more stand-in would have to cover."""
    said, ring = STUCK[case]
    found = plan(Standing(lab_of("lab: Stuck\n" + said)), from_nothing=True)
    assert not found.steps
    assert found.circle[0] == found.circle[-1]
    named = {name.rpartition(".")[0] or name for name in found.circle}
    assert named == ring
    assert not found.proven
    if case != "a longer ring beside a shorter one":  # there two would have to be covered
        assert set(found.would_do) & ring


def scheduled(people: str, raising: str = "", **more):
    """A calendar of two desks from nothing, from a Monday on, with these people."""
    text = AROUND.replace("desk-1..2: node", f"desk-1..2: {{is: node{raising}}}") + people
    lab = lab_of(text)
    found = plan(Standing(lab), from_nothing=True)
    return schedule(lab, found, (), begins=datetime.datetime(2026, 1, 12), seconds=2, workers=1, **more)


@pytest.mark.parametrize(
    ("hours", "says"),
    [
        ("never", "'never' is not a day of the week. Days are Mon, Tue, Wed, Thu, Fri, Sat, Sun, and daily."),
        ("Mon 10:00-10:00", "'10:00-10:00' begins when it ends. Write 00:00-24:00 for the whole day."),
    ],
)
def test_hours_that_are_none_are_refused(hours, says):
    """No working hours at all: their place, and how hours are written."""
    with pytest.raises(LabError) as caught:
        scheduled(f"people: {{me: {{works: {hours}}}}}\n")
    assert str(caught.value) == f"lab.yaml:7:22: {says}"


def test_somebody_who_is_always_away_is_told():
    """Mondays only, and away on each: where the person's hours stand, and what to change."""
    first = datetime.date(2026, 1, 12)
    days = ", ".join(str(first + datetime.timedelta(days=7 * week)) for week in range(523))
    with pytest.raises(LabError) as caught:
        scheduled(f"people:\n  me: {{works: Mon 19:00-22:00, away: [{days}]}}\n")
    assert "(people.me.works): " in str(caught.value)
    assert str(caught.value).endswith("Give hours under `works`, or take days out of `away`.")


def test_a_step_that_nobody_can_do_is_told():
    """Only the warden may do it, and only I take part: where it says so, and who could."""
    people = "people:\n  me: {works: Mon-Sun 08:00-18:00}\n  warden: {works: Mon-Sun 08:00-18:00}\n"
    with pytest.raises(LabError) as caught:
        scheduled(people, ", raising: {takes: 1 h, hands: 1 h, by: warden}", hands=("me",))
    assert "(desk-1.raising.by): " in str(caught.value)
    assert "can only be done by warden" in str(caught.value)
    assert str(caught.value).startswith("lab.yaml:")


def test_a_pair_of_hands_that_nobody_knows_is_refused():
    """The nearest name that there is."""
    with pytest.raises(QuestionError) as caught:
        scheduled("people: {warden: {works: Mon-Sun 08:00-18:00}}\n", hands=("wardn",))
    assert str(caught.value) == "nobody is called 'wardn'. Did you mean warden?"
