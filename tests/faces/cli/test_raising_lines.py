from dataclasses import replace

from tests.faces.handmade_raising import fragile, plan, schedule, shed, stuck

from falsework.faces.cli.lines import folded
from falsework.faces.cli.raising_lines import lines


def told(of=None, shaky=None, dated=None) -> str:
    """The answer, a row a line."""
    answer = lines(shed(), of or plan(), fragile() if shaky is None else shaky, dated)
    rows = (row for line in answer for row in folded(line, None))
    return "\n".join(f"{label}{text}".rstrip() for label, text in rows)


def test_the_answer_word_for_word():
    """Short answer, steps in their groups, what hangs on one part longest."""
    text = told()
    assert text.splitlines()[0] == (
        "Puffin Shed: 10 steps raise the whole lab with 1 stand-in, laptop; 4 h 17 min of work"
    )
    assert (
        """
  step    takes   hands  hangs on   what
     1     1 h?  30 min             power c1 and strip
     2  40 min?  40 min             wire sw-1
     3      2 h     2 h  laptop +1  set up laptop in place of names and installer
     4      1 h  20 min  laptop +1  install desk-1 (not before 2026-12-07)
  cut-over from laptop
     5    2 min   2 min  laptop +1  stop writing names on laptop (interrupts names)
     6    1 min       -  laptop +1  copy zones from laptop to desk-1
     7   10 min  10 min  laptop +2  names on desk-1 takes over from laptop (no way back)
     8   10 min  10 min  sw-1 +1    installer on desk-1 takes over from laptop
     9    5 min   5 min  sw-1 +1    take laptop home
  building on
    10      1 h  20 min             install desk-2 with names.2
? how long it takes is assumed; write `raising: {takes: ...}` to replace it.

What hangs on one part on the way and will not in the end, longest first:
  part      how long  after step  stops
  sw-1    2 h 28 min  3 to 9      names, installer
  laptop  1 h 23 min  3 to 7      names, installer
  desk-1  1 h 15 min  7 to 9      names
The finished lab still has 1 single point of failure; `falsework check` tells of them."""
        in text
    )


def test_the_days_of_a_calendar():
    """With a calendar each step has its hour, and the short answer its end."""
    text = told(dated=schedule())
    assert "done on Mon 7 Dec 2026 at 21:28" in text
    assert "     4  Mon  7 Dec 19:00      1 h  20 min  laptop +1  install desk-1" in text


def test_what_can_not_be_raised():
    """The circle, where it is written, and a stand-in that would break it; no steps."""
    text = told(stuck(), ())
    assert text.splitlines()[0] == "Puffin Shed: no order of work raises desk-1, desk-2, names, installer"
    assert "Each waits for the next: installer -> desk-1 -> installer." in text
    assert "shed.yaml:26:14 (installer)" in text
    assert "helper: {for: [installer], costs: 2 h}" in text
    assert "step" not in text


def test_an_unsound_moment_is_shouted():
    """What does not stand by the exact graph although the order says so is told before the steps."""
    wrong = tuple(replace(each, missing=("names",)) if each.step == 4 else each for each in fragile())
    assert "BROKEN  after step 4 names does not stand" in told(shaky=wrong)


def test_nothing_left_to_raise():
    """A lab that stands has no list of steps."""
    text = told(replace(plan(), steps=(), stand_ins=()), ())
    assert text.startswith("Puffin Shed: everything stands already: there is nothing to raise\n")
    assert "--from-nothing" in text
    assert "step " not in text
