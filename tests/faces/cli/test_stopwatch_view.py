"""How probes look in a terminal of any size."""

from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.faces.cli.stopwatch_strip import STRIP_S, Strips, cells
from falsework.faces.cli.stopwatch_view import Sight, rows
from falsework.model.asks import Ask, Sort
from falsework.record.live import Live, LiveProbe
from falsework.record.seen import Told
from falsework.support.probing import Question
from falsework.where import Where

NAN = float("nan")


def question(name, sees=""):
    """A probe as it is asked."""
    return Question(
        name=name,
        sees=sees,
        ask=Ask(sort=Sort.PING, host="127.0.0.1"),
        expects="",
        from_="",
        every_s=0.1,
        patience_s=1.0,
        where=Where("lab.yaml", 1, 1),
    )


def probe(told=Told.YES, since=0.0, asked=10.0, usual=0.003, says="", changes=()):
    """How a probe stands."""
    return LiveProbe(told=told, since_s=since, asked_s=asked, usual_s=usual, says=says, changes=changes)


def live(*probes, at=10.0):
    """How probes stand at a moment."""
    return Live(at_s=at, probes=probes, until_s=at)


def shown(sight, width, height):
    """What is drawn, as text."""
    return ["".join(piece.text for piece in row).rstrip() for row in rows(sight, width=width, height=height)]


def looked(questions, *looks, **more):
    """What is drawn after looks at how things stand."""
    strips = Strips(len(questions))
    for each in looks:
        strips.look(each)
    return Sight(questions=questions, live=looks[-1], strips=strips, **more)


QUESTIONS = [question("front page", "front"), question("mail"), question("shelf on twin-1", "shelf")]
STANDING = live(probe(), probe(), probe(Told.UNKNOWN, asked=float("-inf"), usual=NAN), at=10)
FALLEN = live(
    probe(Told.SILENT, since=30.2, asked=40),
    probe(Told.YES, since=0, asked=40),
    probe(Told.NO, since=20, asked=40, says="refused", usual=NAN),
    at=41.0,
)


def test_problems_come_first_with_sign_word_and_strip():
    """What is wrong stands on top, told by a sign and a word beside the colour, with the last minute as a strip."""
    sight = looked(QUESTIONS, STANDING, FALLEN, head=["kept in lab.record, run 3"], foot=["Ctrl-C ends it"])
    assert shown(sight, 110, 20) == [
        "3 probes: 1 silent, 1 not well, 1 answered well; 41 s",
        "kept in lab.record, run 3",
        "o front page       front  silent for 10 s             3 ms              ▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁████████",
        "x shelf on twin-1  shelf  not well for 21 s: refused                                  ▒▒▒▒▒▒▒▒▒▒▒▒▒▒",
        "- mail                    well for 41 s               3 ms              ▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁▁",
        "Ctrl-C ends it",
    ]


def test_narrow_and_plain():
    """Where there is little room the least needed columns go, and every sign is one that any terminal has."""
    sight = looked(QUESTIONS, STANDING, FALLEN, plain=True)
    assert shown(sight, 46, 20) == [
        "3 probes: 1 silent, 1 not well, 1 answered we.",
        "o front page       silent for 10 s",
        "x shelf on twin-1  not well for 21 s: refus.",
        "- mail             well for 41 s",
    ]


def test_what_has_no_room_is_counted():
    """Of very many probes those that changed are shown and the others counted."""
    many = [question(f"probe {number}") for number in range(400)]
    before = live(*(probe() for _ in many), at=10)
    after = live(*(probe(Told.SILENT, since=12) if n == 399 else probe() for n in range(400)), at=13)
    back = live(*(probe(since=14) if n == 399 else probe() for n in range(400)), at=15)
    assert shown(looked(many, before, after), 40, 4)[1:] == [
        "o probe 399  silent for 1.0 s",
        "- probe 0    well for 13 s",
        "and 398 more probes, all answered well",
    ]
    assert shown(looked(many, before, after, back), 40, 3)[1].startswith("- probe 399  well for 1.0 s")


def test_a_short_outage_is_never_hidden():
    """An outage between two looks leaves its mark although both find an answer that is well."""
    one = [question("names")]
    blip = ((0.0, Told.YES), (10.1, Told.SILENT), (10.2, Told.YES))
    sight = looked(one, live(probe(), at=10), live(probe(since=10.2, changes=blip), at=10.25))
    assert "█" in sight.strips.strip(0, width=12)
    assert sight.strips.strip(0, width=12, plain=True) == "         __#"


def test_every_change_is_told_once():
    """Changes between two looks are told too, each once, and a late answer sets right what was told before."""
    strips = Strips(1)
    first = strips.look(live(probe(), at=10))
    assert [(each.since_s, each.told, each.last) for each in first] == [(0.0, Told.YES, True)]
    blip = ((0.0, Told.YES), (10.1, Told.SILENT), (10.2, Told.YES))
    second = strips.look(live(probe(since=10.2, changes=blip), at=10.25))
    assert [(each.since_s, each.told, each.last) for each in second] == [
        (10.1, Told.SILENT, False),
        (10.2, Told.YES, True),
    ]
    assert strips.look(live(probe(since=10.2, changes=blip), at=10.5)) == ()
    right = ((0.0, Told.YES), (10.1, Told.SILENT))
    third = strips.look(live(probe(Told.SILENT, since=10.1, changes=right), at=10.75))
    assert third == ()
    assert strips.strip(0, width=60)[-2:] == "▁█"


def test_what_is_foretold_stands_beside():
    """In a drill, what is foretold of a service stands beside each probe that sees it."""
    sight = looked(QUESTIONS, STANDING, FALLEN, beside={0: "blinks at once, back by 40 s"})
    assert "silent for 10 s             blinks at once, back by 40 s" in shown(sight, 110, 20)[1]


def sixteenths(most):
    """Moments that add up without rounding."""
    return st.integers(0, most * 16).map(lambda number: number / 16)


changes = st.lists(
    st.tuples(sixteenths(100), st.sampled_from(Told)), max_size=6, unique_by=lambda c: c[0]
).map(sorted)


@settings(deadline=None, max_examples=60)
@given(changes, sixteenths(160), st.integers(1, 40))
def test_every_change_of_the_last_minute_is_in_a_cell(changes, until, width):
    """Whatever was silent in the last minute shows, in the cell of its time; and there is a sign for each cell."""
    made = cells(changes, until_s=until, width=width)
    assert len(made) == width
    for since, told in changes:
        if told is Told.SILENT and until - STRIP_S <= since < until:
            place = min(int((since - (until - STRIP_S)) / (STRIP_S / width)), width - 1)
            assert Told.SILENT in made[max(place - 1, 0) : place + 2]


@settings(deadline=None, max_examples=60)
@given(
    st.integers(1, 130),
    st.integers(1, 30),
    st.lists(st.sampled_from(Told), min_size=1, max_size=30),
    st.text(max_size=60),
)
def test_it_never_leaves_its_frame(width, height, tolds, says):
    """No row is wider than the terminal and there are no more of them than it has, whatever is said."""
    many = [question(f"probe {number}\x1b[2J", says) for number in range(len(tolds))]
    sight = looked(many, live(*(probe(told, says=says) for told in tolds)), head=[says], foot=["end"])
    made = shown(sight, width, height)
    assert len(made) <= height
    assert all(len(row) <= width for row in made)
    assert all(letter.isprintable() for row in made for letter in row)
