"""Is a process that writes told from one that is dead, or that only has the same number?"""

import dataclasses
import os
import subprocess

from falsework.record.writer import QUIET_S, read, this_process


def test_this_process_lives_and_comes_back_from_the_record():
    """As it was written."""
    me = this_process()
    assert me.lives(quiet_s=1e9)
    assert read(me.text) == me
    assert me.process == os.getpid()


def test_another_with_its_number_is_another():
    """Started at another time, or before the machine was last started."""
    me = this_process()
    assert not dataclasses.replace(me, start="1").lives(quiet_s=0.0)
    assert not dataclasses.replace(me, boot="another").lives(quiet_s=0.0)


def test_a_dead_one_is_dead():
    """Also before anybody has buried it."""
    child = subprocess.Popen(["true"])
    os.waitid(os.P_PID, child.pid, os.WEXITED | os.WNOWAIT)
    gone = dataclasses.replace(this_process(), process=child.pid)
    assert not gone.lives(quiet_s=0.0)
    child.wait()
    assert not gone.lives(quiet_s=0.0)


def test_one_on_another_machine_lives_while_it_writes():
    """Nobody can ask it, so a minute of silence is its end."""
    far = dataclasses.replace(this_process(), host="another machine")
    assert far.lives(quiet_s=QUIET_S - 1)
    assert not far.lives(quiet_s=QUIET_S + 1)
