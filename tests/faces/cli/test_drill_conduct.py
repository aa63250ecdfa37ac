"""Whatever happens in a drill, what was taken out is put back, once, or somebody reads how."""

import json
import math
import signal
from functools import partial

import pytest
from tests.faces.cli.drill_stage import play
from tests.faces.cli.terminal import ran
from tests.waiting import until

from falsework.analyses.drilling import Foretold
from falsework.analyses.drilling.words import to_stop
from falsework.analyses.verdicts import Verdict

pytestmark = pytest.mark.slow  # whole commands

YES = ("Type yes to run it:", "yes\n")
BACK = ("Type yes to run it, or no", "yes\n")


def staged(folder, *steps, up=("web", "mail"), **said):
    """A drill in a terminal; what it showed, what was done, what is in the record, and what became of it."""
    for name in up:
        (folder / name).touch()
    result = ran(partial(play, folder, **said), steps, folder=folder)
    return (
        result,
        _lines(folder / "did"),
        _lines(folder / "marks"),
        json.loads((folder / "end").read_text()),
    )


def _lines(path):
    return path.read_text().splitlines() if path.exists() else []


def touch(path):
    """A step that makes a file."""
    return lambda: path.touch()


def test_a_drill_from_its_beginning_to_its_end(tmp_path):
    """It is done on a yes, watched, put back on another yes, and ends once all is well again; all in the record."""
    result, did, marks, end = staged(tmp_path, YES, BACK)
    assert did == ["done", "back"]
    assert end == {"back": "put back by your command", "given_up": "", "well": True}
    assert [each.partition(":")[0] for each in marks] == ["said", "done", "said", "put back", "said", "said"]
    assert marks[-1] == "said: everything is answered well again"
    text = result.text
    assert text.index("    echo done >> did; rm web\n") < text.index("Type yes to run it:")
    assert "web probe: silent (foretold: falls at once, until it is put back)" in text
    assert text.rstrip().endswith("STAGE put back by your command; ; True")


@pytest.mark.slow
@pytest.mark.parametrize("word", ["", "y", "Yes", "no", "yes please"])
def test_nothing_but_the_word_in_full_runs_it(tmp_path, word):
    """Anything but `yes` runs nothing."""
    result, did, marks, end = staged(tmp_path, ("Type yes to run it:", f"{word}\n"))
    assert did == []
    assert end["back"] == "nothing was taken out"
    assert marks == ["said: not begun: nobody said yes"]
    assert "Nobody said yes. Nothing was done." in result.text


SIGNALS = [signal.SIGINT, signal.SIGTERM]


@pytest.mark.slow
@pytest.mark.parametrize("number", SIGNALS)
@pytest.mark.parametrize("stage", ["shelf", "Type yes to run it:"])
def test_stopped_before_it_nothing_is_done(tmp_path, number, stage):
    """While it waits for all to be well, or for the yes, a signal ends it with nothing done."""
    waits = "web probe: well" if stage == "shelf" else stage
    result, did, marks, end = staged(tmp_path, (waits, number))
    assert did == []
    assert end["back"] == "nothing was taken out"
    assert "Nothing was done." in result.text
    assert marks[-1].startswith("said: not begun: ")


@pytest.mark.slow
@pytest.mark.parametrize("number", SIGNALS)
@pytest.mark.parametrize(
    ("before", "stage"),
    [
        ((YES,), "web probe: silent"),
        ((YES,), "Done at"),
        ((YES,), "Type yes to run it, or no"),
        ((YES, BACK), "Putting it back"),
    ],
)
def test_stopped_while_it_is_out_it_is_put_back_once(tmp_path, number, before, stage):
    """From the yes on, a signal at any stage leads to the put-back, which runs once."""
    steps, more = [*before, (stage, number)], {}
    if stage == "Putting it back":
        steps.append(("Given up, since", touch(tmp_path / "go")))
        more = {"put_back": "until test -e go; do sleep 0.02; done; echo back >> did; touch web"}
    _, did, marks, end = staged(tmp_path, *steps, **more)
    assert did == ["done", "back"]
    assert end["back"] == "put back by your command"
    assert sum(each.startswith("put back") for each in marks) == 1
    assert any(each.startswith("said: given up: ") for each in marks)


def test_a_terminal_that_is_lost(tmp_path):
    """When the terminal goes away while something is out, it is put back all the same, once."""
    _, did, marks, end = staged(tmp_path, YES, ("Done at", None))
    assert did == ["done", "back"]
    assert end == {"back": "put back by your command", "given_up": "the terminal is gone", "well": True}
    assert sum(each.startswith("put back") for each in marks) == 1


def test_the_key_that_ends_a_program_at_once(tmp_path):
    """The key that quits a program gives the drill up like Ctrl-C: nothing is left taken out by it."""
    _, did, marks, end = staged(tmp_path, YES, ("Done at", "\x1c"))
    assert did == ["done", "back"]
    assert end["back"] == "put back by your command"
    assert "said: given up: it was told to end (SIGQUIT)" in marks


@pytest.mark.slow
def test_twice_leaves_at_once_and_tells_how(tmp_path):
    """Ctrl-C twice leaves while the put-back runs, which goes on by itself, and prints it in full."""
    slow = "echo back >> did; sleep 0.6; until test -e go; do echo slow; sleep 0.1; done; touch web"
    result, did, marks, end = staged(tmp_path, YES, ("Done at", "\x03"), ("slow\r\n", "\x03"), put_back=slow)
    assert did == ["done", "back"]
    assert end["back"] == "your command to put it back did not end well"
    assert f"cd {tmp_path} && {slow}" in result.text
    assert "still runs and goes on by itself" in result.text
    assert "said: left at once" in marks
    (tmp_path / "go").touch()
    until((tmp_path / "web").exists)


@pytest.mark.slow
def test_a_key_that_is_held_down_is_pressed_once(tmp_path):
    """Several Ctrl-C in a row give up the drill and do not leave it as it is."""
    _, did, _, end = staged(
        tmp_path, YES, ("Done at", "\x03\x03\x03\x03"), put_back="sleep 0.2; echo back >> did; touch web"
    )
    assert did == ["done", "back"]
    assert end["back"] == "put back by your command"


def test_no_means_no(tmp_path):
    """Who says no to the put-back has it left as it is, and reads how to do it."""
    result, did, marks, end = staged(tmp_path, YES, (BACK[0], "no\n"))
    assert did == ["done"]
    assert end == {"back": "not put back", "given_up": "", "well": False}
    assert "touch web" in result.text.rpartition("This puts it back:")[2]
    assert "said: not put back, on somebody's word" in marks


def test_by_hand(tmp_path):
    """Without commands it is the person's: Enter is the moment, and the outage seen before it is earlier still."""

    def pull():
        (tmp_path / "web").unlink()

    def plug():
        (tmp_path / "web").touch()

    result, _, marks, end = staged(
        tmp_path,
        ("Press Enter at the moment when it is done", pull),
        ("web probe: silent", "\n"),
        ("Press Enter at the moment when it is back:", plug),
        ("", "\n"),
        do="",
        put_back="",
    )
    assert end == {"back": "put back by hand", "given_up": "", "well": True}
    assert marks[0] == "said: begun: by hand"
    assert marks[1].startswith("done: by hand; told at ")
    assert "put back: by hand" in marks
    assert "Pull the plug of desk-1." in result.text


@pytest.mark.slow
def test_by_hand_given_up_is_put_back_by_hand(tmp_path):
    """Ctrl-C while hands are at it asks for the put-back; once more leaves."""
    result, _, marks, end = staged(
        tmp_path,
        ("Press Enter at the moment when it is done", "\x03"),
        ("Press Enter at the moment when it is back:", "\n"),
        do="",
        put_back="",
    )
    assert end["back"] == "put back by hand"
    assert end["given_up"] == "you pressed Ctrl-C"
    assert "said: given up: you pressed Ctrl-C" in marks
    assert "Plug desk-1 in again." in result.text


@pytest.mark.parametrize(
    ("trouble", "why"),
    [
        ("dies", "the stopwatch has ended"),
        ("gone", "the pipe is closed"),
        ("breaks", "something went wrong (a defect)"),
    ],
)
def test_trouble_of_our_own_leads_to_the_put_back(tmp_path, trouble, why):
    """A stopwatch that dies, a pipe that breaks and a defect of ours all lead to the put-back."""
    result, did, _, end = staged(tmp_path, YES, ("Done at", touch(tmp_path / trouble)), margin=600.0)
    assert did == ["done", "back"]
    assert why in end["given_up"]
    assert end["back"] == "put back by your command"
    assert result.status == (1 if trouble == "breaks" else 0)


@pytest.mark.slow
def test_a_full_disk_stops_nothing(tmp_path):
    """Where nothing can be kept, that is said, and the drill comes to its end."""
    result, did, _, end = staged(tmp_path, YES, ("Done at", touch(tmp_path / "full")), BACK)
    assert did == ["done", "back"]
    assert end == {"back": "put back by your command", "given_up": "", "well": True}
    assert "not in the record yet: put back:" in result.text


@pytest.mark.slow
def test_what_was_out_before_is_told(tmp_path):
    """A probe that is not answered well before the drill is named; only `yes` goes on."""
    seen = ("web probe: well", touch(tmp_path / "later"))  # so well for a moment already
    asks = ("Go on all the same? Type yes to do so:", "no\n")
    result, did, _, end = staged(tmp_path, seen, asks, up=("web",), steady=0.2)
    assert did == []
    assert "mail probe is not answered well before anything was done; nothing was done" in result.text
    assert end["back"] == "nothing was taken out"


@pytest.mark.slow
def test_what_was_out_before_is_not_waited_for(tmp_path):
    """With a yes it goes on, and ends without the probe that was out before."""
    seen = ("web probe: well", touch(tmp_path / "later"))
    asks = ("Go on all the same? Type yes to do so:", "yes\n")
    _, did, marks, end = staged(tmp_path, seen, asks, YES, BACK, up=("web",), steady=0.2)
    assert did == ["done", "back"]
    assert end["well"]
    assert marks[0] == "said: mail probe is not answered well before anything was done"


@pytest.mark.slow
def test_a_command_that_fails_and_hangs(tmp_path):
    """What a command says and how it ends is told; one that hangs is told of, stopped, and it is put back."""
    result, did, _, end = staged(
        tmp_path,
        YES,
        ("Your command still runs after", "b"),
        BACK,
        do="echo about to hang; rm web; while :; do sleep 0.1; done",
        margin=600.0,
    )
    assert "about to hang\n" in result.text.partition("Type yes to run it: yes")[2]
    assert "it is stopped before it is put back" in result.text
    assert did == ["back"]
    assert end["well"]


@pytest.mark.slow
def test_a_put_back_that_fails_may_be_run_again(tmp_path):
    """A put-back that does not end well is told with how to do it, and run again only on a yes."""
    fails = "echo back >> did; test -e again || { touch again; exit 4; }; touch web"
    result, did, _, end = staged(tmp_path, YES, BACK, ("Type yes to run it again", "yes\n"), put_back=fails)
    assert did == ["done", "back", "back"]
    assert "the command to put it back ended with status 4" in result.text
    assert f"cd {tmp_path} && {fails}" in result.text
    assert end["back"] == "put back by your command"


@pytest.mark.slow
def test_the_time_is_over(tmp_path):
    """What does not come back as foretold is waited for up to the limit, and put back by itself then."""
    _, did, _, end = staged(
        tmp_path,
        YES,
        ("mail probe: silent", touch(tmp_path / "later")),
        do="echo done >> did; rm mail",
        put_back="echo back >> did; touch mail",
    )
    assert did == ["done", "back"]
    assert end["given_up"] == "10 min are over and web probe and mail probe are not as foretold"
    assert end["well"]


@pytest.mark.slow
def test_what_does_not_come_back_is_waited_for_as_long_as_the_plan_says(tmp_path):
    """Where nobody says when to stop, it is given up at the moment that the plan names, not when all else is over."""
    comes = Foretold(service="mail", verdict=Verdict.BLINKS, falls_s=0.0, back_s=5.0)
    falls = Foretold(service="web", verdict=Verdict.FALLS, falls_s=18_000.0, back_s=math.inf)
    _, did, _, end = staged(
        tmp_path,
        YES,
        ("mail probe: silent", touch(tmp_path / "later")),
        do="echo done >> did; rm mail",
        put_back="echo back >> did; touch mail",
        effects=(comes, falls),
        stop_after_s=None,
    )
    assert did == ["done", "back"]
    assert end["given_up"] == "35 s are over and mail probe is not as foretold"
    assert end["well"]
    assert to_stop((comes, falls), None, "loss")[0].startswith(
        "When mail, the last to come back, is not back 35 s after the beginning"
    )


def test_a_restore_is_as_long_as_it_is(tmp_path):
    """Where nobody says when to stop, a restore is not stopped half-way, however little is foretold of it."""
    _, did, marks, end = staged(
        tmp_path,
        tries="restore",
        effects=(),
        do="sleep 1; echo done >> did",
        stop_after_s=None,
        late=0.5,
        yes=True,
    )
    assert did == ["done", "back"]
    assert any(each.startswith("done: ") for each in marks)
    assert end["given_up"] == ""


@pytest.mark.slow
def test_nobody_is_asked_who_has_said_yes(tmp_path):
    """With yes said beforehand it runs to its end without a question."""
    result, did, _, end = staged(tmp_path, yes=True)
    assert did == ["done", "back"]
    assert end["well"]
    assert "Type yes" not in result.text


def test_a_command_that_fails_has_done_nothing(tmp_path):
    """With yes said beforehand, a command that ends otherwise than well and shows no effect is not taken as done."""
    result, did, marks, end = staged(tmp_path, yes=True, do="echo tried >> did; exit 5")
    assert did == ["tried", "back"]
    assert not [each for each in marks if each.startswith("done")]
    assert end["given_up"] == "your command ended with status 5 and nothing of its work is seen"
    assert "it may not have done its work" in result.text


@pytest.mark.slow
def test_somebody_says_that_it_has_done_its_work(tmp_path):
    """At a terminal a command that did not end well waits for a word, or for what it does to show."""
    _, did, marks, _ = staged(
        tmp_path, YES, ("Press d if it has done", "d"), BACK, do="echo tried >> did; exit 5", effects=()
    )
    assert did == ["tried", "back"]
    assert "somebody said that it did its work" in next(each for each in marks if each.startswith("done"))


@pytest.mark.slow
def test_what_it_does_shows_that_it_is_done(tmp_path):
    """A command that takes its own connection down ends badly, and what it does is seen: it is done."""
    _, did, marks, end = staged(tmp_path, YES, BACK, do="echo done >> did; rm web; sleep 0.2; exit 255")
    assert did == ["done", "back"]
    assert any(each.startswith("done: ") for each in marks)
    assert end["given_up"] == ""


def test_the_power_off_and_on(tmp_path):
    """In a cold start by hand Enter is the moment of the switch, off and then on; then all is waited for."""

    def off():
        (tmp_path / "web").unlink()

    def on():
        (tmp_path / "web").touch()

    result, _, marks, end = staged(
        tmp_path,
        ("Press Enter at the moment when the power is off", off),
        ("web probe: silent", "\n"),
        ("Press Enter at the moment when the power is back", "\n"),
        ("What comes back by itself is waited for.", on),
        do="",
        put_back="",
        tries="cold start",
    )
    assert [each.partition(":")[0] for each in marks] == ["said", "done", "put back", "said"]
    assert "put back: the power is back" in marks
    assert end == {"back": "put back by hand", "given_up": "", "well": True}
    assert "Plug desk-1 in again." in result.text
