"""A yard of real servers for tests: what stands in it, what is done to it, and when exactly that was."""

import contextlib
import datetime
import functools
import json
import secrets
import shutil
import socket
import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Self

import pytest
from tests.certificates import self_signed
from tests.loopback.pulse import Pulse
from tests.waiting import LONGEST_S

ROOT = Path(__file__).resolve().parents[2]
HELD_UP_S, MUCH_S = 0.1, 0.25
"""Who is held up for longer than the first answers later than a measured moment may be off, and so long only by a machine
that has too much to do; seconds."""
TRIES = 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """Something that was done to the yard; by CLOCK_BOOTTIME, it happened between the two moments, seconds."""

    do: str
    to: str
    begun_s: float
    done_s: float


class Yard:
    """A yard; everything in it ends with it.

    Args:
        walled: whether it is a network of its own, in which every address and port is free and machines can be made.
    """

    def __init__(self, *, walled: bool = False) -> None:
        self.walled = walled
        within = [*_wall(), "--"] if walled else []
        self._man = subprocess.Popen(
            [*within, sys.executable, "-m", "tests.loopback.yardman"],
            cwd=ROOT,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        self.done: list[Done] = []
        self._pulse = Pulse()
        self._held_up_s = 0.0

    def __enter__(self) -> Self:
        self.do("look")
        self.done.clear()
        self._pulse.begin()
        return self

    def __exit__(self, *_: object) -> None:
        assert self._man.stdin
        assert self._man.stdout
        self._pulse.end()
        with contextlib.suppress(OSError):
            self._man.stdin.close()
        try:
            self._man.wait(LONGEST_S)
        except subprocess.TimeoutExpired:
            self._man.kill()
            self._man.wait()
        self._man.stdout.close()

    def do(self, do: str, to: str = "", /, **more: Any) -> Done:
        """Have something done, and note when; `to` is the server, switch or machine, as the request names it."""
        assert self._man.stdin
        assert self._man.stdout
        answer = ""
        with contextlib.suppress(BrokenPipeError):
            self._man.stdin.write(json.dumps({"do": do, "to": to, **more}) + "\n")
            self._man.stdin.flush()
            answer = self._man.stdout.readline()
        said = json.loads(answer or '{"failed": "the yard is gone"}')
        if "failed" in said:
            raise RuntimeError(f"{do} {to}: {said['failed']}")
        self.held_up(said["held_up_s"])
        one = Done(do=do, to=to, begun_s=said["begun_s"], done_s=said["done_s"])
        self.done.append(one)
        return one

    def held_up(self, seconds: float) -> None:
        """Note that something in the yard, or that looks at it, was held up for so long."""
        self._held_up_s = max(self._held_up_s, seconds)

    @property
    def held_up_s(self) -> float:
        """For how long at worst anything was held up that nobody meant to hold up, seconds."""
        with contextlib.suppress(RuntimeError):
            self.do("look")
        return max(self._held_up_s, self._pulse.worst_s)

    @property
    def pid(self) -> int:
        """Of the process that keeps the yard."""
        return self._man.pid

    def free_ports(self, count: int) -> tuple[int, ...]:
        """So many ports that nobody listens on; below those that the system gives to whoever calls out."""
        found: list[int] = []
        while len(found) < count:
            port = secrets.randbelow(12_000) + 20_000
            with socket.socket() as tried, contextlib.suppress(OSError):
                tried.bind(("", port))
                found.append(port)
        return tuple(found)

    def command(self, *words: str) -> list[str]:
        """A command's words so that it runs within the yard's own network."""
        if not self.walled:
            return list(words)
        # `unshare` has become the process that was started, so that one is within.
        user = [] if _wall()[1] == "--net" else ["--user", "--preserve-credentials"]
        return ["nsenter", "--target", str(self.pid), *user, "--net", "--", *words]


@functools.cache
def _wall() -> tuple[str, ...]:
    """The words that put a command into a network of its own, or a skipped test with the reason."""
    for tool in ("unshare", "nsenter", "ip"):
        if not shutil.which(tool):
            pytest.skip(f"the command {tool} is not there, so no network of its own can be made")
    for words in (("unshare", "--net"), ("unshare", "--user", "--map-root-user", "--net")):
        tried = [*words, "--", "ip", "link", "add", "tried", "type", "bridge"]
        if subprocess.run(tried, capture_output=True).returncode == 0:
            return words
    pytest.skip("this system lets nobody here make a network of its own")


def certificate(file: Path, *, address: str = "127.0.0.1", lasts_s: float = 3600.0) -> Path:
    """A file with a key and a certificate of an address that vouches for itself, made here and now.

    Args:
        file: where it is written.
        address: the address it is for.
        lasts_s: how long from now it is good, seconds; certificates know whole seconds, so up to one less.
    """
    now = datetime.datetime.now(datetime.UTC)
    begins, ends = now - datetime.timedelta(minutes=1), now + datetime.timedelta(seconds=lasts_s)
    self_signed(file, ("front.rock", address), begins=begins, ends=ends)
    return file


class HeldUpError(Exception):
    """The machine was held up for so many seconds, so that what was measured meanwhile proves nothing."""

    def __init__(self, seconds: float, says: object) -> None:
        super().__init__(f"held up for {seconds:.2f} s: {says}")
        self.seconds = seconds


@contextlib.contextmanager
def yard(*, walled: bool = False) -> Iterator[Yard]:
    """A yard for as long as it is needed.

    Raises:
        HeldUpError: what was done with it failed, and something was held up meanwhile.
    """
    with Yard(walled=walled) as made:
        try:
            yield made
        except Exception as slip:
            if (seconds := made.held_up_s) > HELD_UP_S:
                raise HeldUpError(seconds, slip) from slip
            raise


def calmly(test: Callable[..., None]) -> Callable[..., None]:
    """A test that is made again, in a folder of its own, where it failed while the machine was held up.

    Real servers answer late on such a machine, and the stopwatch says so: that is no fault of the one that measures.
    """

    @functools.wraps(test)
    def tried(*, tmp_path: Path, **more: Any) -> None:
        slips = []
        for number in range(TRIES):
            place = tmp_path / f"try-{number}"
            place.mkdir()
            try:
                return test(tmp_path=place, **more)
            except HeldUpError as slip:
                slips.append(slip)
        if any(each.seconds < MUCH_S for each in slips):
            raise slips[-1]
        pytest.skip(f"this machine is held up again and again; last {str(slips[-1])[:200]}")

    return tried
