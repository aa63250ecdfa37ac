"""Which process writes a run, and does it still live?"""

from __future__ import annotations

import json
import os
import socket
from dataclasses import dataclass
from pathlib import Path

QUIET_S = 60.0
"""A process on another machine that has not said anything for so long, seconds, is taken for ended."""
_BOOT = Path("/proc/sys/kernel/random/boot_id")


@dataclass(frozen=True, slots=True, kw_only=True)
class Writer:
    """A process, told apart from a later one with the same number.

    Attributes:
        host: the name of its machine.
        boot: which start of that machine; empty where nobody says.
        process: its number.
        start: when it started, in the machine's own count; empty where nobody says.
    """

    host: str
    boot: str
    process: int
    start: str

    @property
    def text(self) -> str:
        """For the record."""
        return json.dumps([self.host, self.boot, self.process, self.start])

    def lives(self, *, quiet_s: float) -> bool:
        """Whether it still runs.

        Args:
            quiet_s: how long ago it last wrote, seconds by the clock on the wall; for processes of other machines,
                which nobody can ask.
        """
        if self.host != socket.gethostname():
            return quiet_s < QUIET_S
        if self.boot != _boot():
            return False
        try:
            os.kill(self.process, 0)
        except ProcessLookupError:
            return False
        except PermissionError:
            pass  # it is somebody else's, and lives
        return _start(self.process) == self.start


def this_process() -> Writer:
    """The one that asks."""
    return Writer(host=socket.gethostname(), boot=_boot(), process=os.getpid(), start=_start(os.getpid()))


def read(text: str) -> Writer:
    """As it was written in a record."""
    host, boot, process, start = json.loads(text)
    return Writer(host=host, boot=boot, process=process, start=start)


def _boot() -> str:
    try:
        return _BOOT.read_text().strip()
    except OSError:
        return ""


def _start(process: int) -> str:
    """Field 22 of /proc/PID/stat (proc(5)): ticks since the boot; empty for one that is dead but not yet buried."""
    try:
        text = Path(f"/proc/{process}/stat").read_text()
    except OSError:
        return ""
    fields = text[text.rindex(")") + 2 :].split()  # the name before it may hold anything
    return "dead" if fields[0] in "ZX" else fields[19]
