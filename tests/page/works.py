"""Jobs for the tests of jobs: top-level, so that a child process finds them."""

import os
import threading
import time

from falsework.errors import QuestionError
from falsework.faces.page.child import Tell, early
from falsework.faces.page.made import Made


def quick(path: str, digest: str, out: tuple[str, ...], tell: Tell, *, more: str = "") -> Made:
    """Tell what it was asked, and in which process."""
    tell("counting", 1, 2)
    tell("counting", 2, 2)
    return Made(html=f"<p>{path} {digest} {','.join(out)}{more}</p>", answers={"pid": os.getpid()})


def refusing(path: str, digest: str, out: tuple[str, ...], tell: Tell) -> Made:
    """Find the question wrong."""
    raise QuestionError("the <b>lab</b> can't be asked that", "Ask something else.")


def defective(path: str, digest: str, out: tuple[str, ...], tell: Tell) -> Made:
    """Have a defect."""
    raise ZeroDivisionError("by <zero>")


def crashing(path: str, digest: str, out: tuple[str, ...], tell: Tell) -> Made:
    """End as a process ends whose memory is taken away."""
    os.kill(os.getpid(), 9)
    return Made(html="")


def unsayable(path: str, digest: str, out: tuple[str, ...], tell: Tell) -> Made:
    """Make what can't be sent."""
    return Made(html="", answers={"lock": threading.Lock()})


def endless(path: str, digest: str, out: tuple[str, ...], tell: Tell) -> Made:
    """Tell its process, then go on until it is killed."""
    tell(str(os.getpid()), 0, 1)
    while True:
        time.sleep(3600)


def stoppable(path: str, digest: str, out: tuple[str, ...], tell: Tell) -> Made:
    """Go on until it is stopped, then give what there is."""
    try:
        tell("searching", 0, 1)
        while True:
            time.sleep(3600)
    except KeyboardInterrupt:
        return Made(html="<p>the best so far</p>")


def in_two_steps(path: str, digest: str, out: tuple[str, ...], tell: Tell) -> Made:
    """Hand over a part, then all."""
    early(tell, Made(html="<p>a part</p>"))
    return Made(html="<p>all</p>")
