"""The process that keeps a yard of real servers and breaks them on request: one line of JSON a request and an answer.

Run as `python -m tests.loopback.yardman`; inside `unshare --net` it may also make machines of their own.
It dies with whoever holds its standard input, and everything in the yard dies with it.
"""

import asyncio
import contextlib
import ctypes
import json
import mmap
import os
import signal
import socket
import struct
import subprocess
import sys
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any, NoReturn

from tests.loopback.asking import answered
from tests.loopback.pulse import Pulse, now_s
from tests.loopback.serving import Copy, serve

_NEW_NET = 0x40000000  # CLONE_NEWNET of sched.h
_DIE_WITH_PARENT = 1  # PR_SET_PDEATHSIG of prctl.h
_libc = ctypes.CDLL(None, use_errno=True)


@dataclass(slots=True, kw_only=True, eq=False)
class Running:
    """A server: its process, the eight bytes that say how slow it is, and whether it is held up."""

    copy: Copy
    machine: str
    pid: int
    lazily: mmap.mmap
    pulse: Pulse
    frozen: bool = False


class Yard:
    """Servers and machines, by name."""

    def __init__(self) -> None:
        self._running: dict[str, Running] = {}
        self._machines: dict[str, int] = {}
        self._bridges: dict[str, str] = {}
        self._cables: dict[str, str] = {}
        self._pulse = Pulse()
        self._pulse.begin()
        self._held_up_s = 0.0

    def held_up_s(self) -> float:
        """For how long something here was held up at worst that nobody meant to hold up, seconds."""
        for each in self._running.values():
            self._note(each)
        return max(self._held_up_s, self._pulse.worst_s)

    def _note(self, one: Running) -> None:
        if one.pid and not one.frozen:
            self._held_up_s = max(self._held_up_s, one.pulse.worst_s)

    def look(self, to: str) -> None:
        """Do nothing, to see that somebody is there."""

    # Servers.

    def start(self, name: str, machine: str = "", **like: Any) -> None:
        """Start a server; it listens when this returns."""
        like["needs"] = tuple(tuple((to, port) for to, port in group) for group in like.get("needs", ()))
        self._start(name, machine, Copy(**like))

    def _start(self, name: str, machine: str, copy: Copy) -> None:
        lazily, pulse = mmap.mmap(-1, 8), Pulse()
        told, tells = os.pipe()
        pid = os.fork()
        if pid == 0:
            os.close(told)
            _become(self._machines.get(machine, 0))
            _run(copy, lazily, pulse, tells)
        os.close(tells)
        said = os.read(told, 1)
        os.close(told)
        self._running[name] = Running(copy=copy, machine=machine, pid=pid, lazily=lazily, pulse=pulse)
        if said != b"+":
            raise RuntimeError(f"{name} did not start")

    def kill(self, name: str) -> None:
        """Kill a server; its sockets are closed when this returns."""
        one = self._running[name]
        self._note(one)
        os.kill(one.pid, signal.SIGKILL)
        os.waitpid(one.pid, 0)
        one.pid = 0

    def restart(self, name: str, **changed: Any) -> None:
        """Start a killed server again."""
        one = self._running[name]
        if one.pid:
            self.kill(name)
        self._start(name, one.machine, replace(one.copy, **changed))

    def freeze(self, name: str) -> None:
        """Stop a server where it stands: nothing is closed, nothing is answered."""
        one = self._running[name]
        self._note(one)
        one.frozen = True
        os.kill(one.pid, signal.SIGSTOP)

    def thaw(self, name: str) -> None:
        """Let it go on; when this returns it has worked off what waited meanwhile, and answers what is asked now."""
        one = self._running[name]
        os.kill(one.pid, signal.SIGCONT)
        self._in_machine(one.machine, lambda: answered(one.copy))
        one.pulse.forget()
        one.frozen = False

    def slow(self, name: str, by_s: float = 0.0) -> None:
        """Hold back every answer of a server from now on."""
        struct.pack_into("d", self._running[name].lazily, 0, by_s)

    # Machines: network namespaces on bridges that stand for switches.

    def switch(self, name: str) -> None:
        """A switch."""
        self._bridges[name] = f"sw{len(self._bridges)}"
        _ip(
            f"link add {self._bridges[name]} type bridge forward_delay 0",
            f"link set {self._bridges[name]} up",
        )

    def cable(self, name: str, one: str, other: str) -> None:
        """A cable between two switches."""
        end = f"k{len(self._cables)}"
        self._cables[name] = end
        _ip(
            f"link add {end} type veth peer name {end}x",
            f"link set {end} master {self._bridges[one]}",
            f"link set {end}x master {self._bridges[other]}",
            f"link set {end} up",
            f"link set {end}x up",
        )

    def pull(self, cable: str) -> None:
        """Pull a cable between two switches."""
        _ip(f"link set {self._cables[cable]} down")

    def plug(self, cable: str) -> None:
        """Put it back."""
        _ip(f"link set {self._cables[cable]} up")

    def machine(self, name: str, switch: str, address: str) -> None:
        """A machine with one cable to a switch."""
        told, tells = os.pipe()
        pid = os.fork()
        if pid == 0:
            _libc.prctl(_DIE_WITH_PARENT, signal.SIGKILL)
            if _libc.unshare(_NEW_NET):
                os._exit(1)
            os.write(tells, b"+")
            while True:
                signal.pause()
        os.close(tells)
        said = os.read(told, 1)
        os.close(told)
        if said != b"+":
            raise RuntimeError("no network namespace may be made here")
        self._machines[name] = pid
        end = self._cable(name)
        _ip(
            f"link add {end} type veth peer name eth0 netns {pid}",
            f"link set {end} master {self._bridges[switch]}",
            f"link set {end} up",
        )
        self._within(name, "link set lo up", f"addr add {address} dev eth0", "link set eth0 up")

    def here(self, switch: str, address: str) -> None:
        """Give the place from which probes ask an address on a switch."""
        bridge = self._bridges[switch]
        _ip(f"addr add {address} dev {bridge}", "link set lo up")
        # Whoever says that an address has moved is believed at once, so that the moment noted is the true one.
        with contextlib.suppress(OSError):
            Path(f"/proc/sys/net/ipv4/neigh/{bridge}/locktime").write_text("0")
            Path(f"/proc/sys/net/ipv4/neigh/{bridge}/retrans_time_ms").write_text("50")

    def cut(self, machine: str) -> None:
        """Drop every packet from and to a machine."""
        _ip(f"link set {self._cable(machine)} nomaster")

    def join(self, machine: str, switch: str) -> None:
        """Let its packets through again."""
        _ip(f"link set {self._cable(machine)} master {self._bridges[switch]}")

    def down(self, switch: str) -> None:
        """Switch a switch off."""
        _ip(f"link set {self._bridges[switch]} down")

    def up(self, switch: str) -> None:
        """Switch it on again."""
        _ip(f"link set {self._bridges[switch]} up")

    def add_address(self, machine: str, address: str) -> None:
        """Give a machine a further address, and tell all neighbours that it has it now."""
        self._within(machine, f"addr add {address} dev eth0")
        self._in_machine(machine, lambda: _announce(address.partition("/")[0]))

    def drop_address(self, machine: str, address: str) -> None:
        """Take an address from a machine."""
        self._within(machine, f"addr del {address} dev eth0")

    def _cable(self, machine: str) -> str:
        return f"c{list(self._machines).index(machine)}"

    def _within(self, machine: str, *said: str) -> None:
        self._in_machine(machine, lambda: _ip(*said))

    def _in_machine(self, machine: str, work: Any) -> None:
        pid = os.fork()
        if pid == 0:
            try:
                if machine:
                    _enter(self._machines[machine])
                work()
            except BaseException as slip:
                sys.stderr.write(f"{slip}\n")
                sys.stderr.flush()
                os._exit(1)
            os._exit(0)
        if os.waitpid(pid, 0)[1]:
            raise RuntimeError(f"could not do it within {machine}")


def _become(machine: int) -> None:
    _libc.prctl(_DIE_WITH_PARENT, signal.SIGKILL)
    if machine:
        _enter(machine)


def _enter(machine: int) -> None:
    with open(f"/proc/{machine}/ns/net") as place:  # noqa: PTH123
        if _libc.setns(place.fileno(), _NEW_NET):
            raise OSError(ctypes.get_errno(), "setns")


def _run(copy: Copy, lazily: mmap.mmap, pulse: Pulse, tells: int) -> NoReturn:
    pulse.begin()

    def ready() -> None:
        os.write(tells, b"+")
        os.close(tells)

    try:
        asyncio.run(serve(copy, lazily, ready))
    except BaseException as slip:
        sys.stderr.write(f"{copy}: {slip!r}\n")
        sys.stderr.flush()
    os._exit(1)


def _ip(*said: str) -> None:
    """Say it to the system's own tool, all at once."""
    done = subprocess.run(["ip", "-batch", "-"], input="\n".join(said) + "\n", text=True, capture_output=True)
    if done.returncode:
        raise RuntimeError(f"ip {said}: {done.stderr}")


def _announce(address: str) -> None:
    """Tell the neighbours which card has an address now (RFC 5227, section 3)."""
    with socket.socket(socket.AF_PACKET, socket.SOCK_RAW) as wire:
        wire.bind(("eth0", 0))
        card = wire.getsockname()[4]
        ip = socket.inet_aton(address)
        said = struct.pack("!HHBBH", 1, 0x0800, 6, 4, 1) + card + ip + bytes(6) + ip
        wire.send(b"\xff" * 6 + card + b"\x08\x06" + said)


def main() -> None:
    """Do as the lines of standard input say, until there are no more."""
    _libc.prctl(_DIE_WITH_PARENT, signal.SIGKILL)
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl-C is for whoever started this: then the input ends
    yard = Yard()
    for line in sys.stdin:
        asked = json.loads(line)
        do = getattr(yard, asked.pop("do"))
        begun_s = now_s()
        try:
            do(asked.pop("to"), **asked)
            said = {"begun_s": begun_s, "done_s": now_s(), "held_up_s": yard.held_up_s()}
        except (OSError, RuntimeError, KeyError) as slip:
            said = {"failed": f"{type(slip).__name__}: {slip}"}
        sys.stdout.write(json.dumps(said) + "\n")
        sys.stdout.flush()


if __name__ == "__main__":
    main()
