"""The whole way: a drill with real servers shows that the lab file was wrong, it learns, and the next is as foretold."""

import json
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from tests.faces.cli.typed import typed
from tests.loopback.yard import Yard, calmly, yard

from falsework.faces.cli import drill_scene
from falsework.model.build import load
from falsework.model.services import Service
from falsework.record.keeping import observed

pytestmark = pytest.mark.slow

AT = "127.0.0.31"
TRUE_S = 3.0
"""How long the take-over really takes; the lab file says one second."""
LAB = """\
lab: Two desks
outside: {{mains: the wall}}
power:
  A: {{is: strip, fed by: mains}}
  B: {{is: strip, fed by: mains}}
machines:
  desk-1: {{is: node, fed by: A}}
  desk-2: {{is: node, fed by: B}}
services:
  pages: {{on: [desk-1, desk-2], takes over: 1 s}}   # or so we think
probes:
  page seen: {{asks: "http://{at}:{port}/", sees: pages}}
drills:
  pull one: {{loses: desk-1, do: bin/pull, put back: bin/push, stop after: 1 min}}
"""
COMMAND = "#!/bin/sh\ntouch {name}\nuntil [ -e {name}.done ]; do sleep 0.02; done\nrm {name} {name}.done\n"


@contextmanager
def owner(folder: Path, made: Yard, ports: dict[str, int]) -> Iterator[None]:
    """What the owner's commands do: one kills the first copy, the other brings it back; the front follows by itself."""
    over = threading.Event()

    def front_at(copy: str) -> None:
        made.do("restart", "front", answer=f"{AT}:{ports[copy]}")

    def obey() -> None:
        follows_s = 0.0
        while not over.wait(0.01):
            if (folder / "pull").exists() and not (folder / "pull.done").exists():
                made.do("kill", "one")
                follows_s = time.monotonic() + TRUE_S
                (folder / "pull.done").touch()
            if follows_s and time.monotonic() >= follows_s:
                front_at("two")
                follows_s = 0.0
            if (folder / "push").exists() and not (folder / "push.done").exists():
                made.do("restart", "one")
                (folder / "push.done").touch()

    front_at("one")
    thread = threading.Thread(target=obey)
    thread.start()
    try:
        yield
    finally:
        over.set()
        thread.join()


@calmly
def test_a_wrong_figure_is_found_learnt_and_right_the_next_time(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Foretold 1 s and true 3 s: compare says slower and offers the change, learn writes it, then it is as foretold."""
    monkeypatch.setattr(drill_scene, "STEADY_S", 0.5)
    with yard() as made:
        ports = dict(zip(("one", "two", "front"), made.free_ports(3), strict=True))
        for name in ("one", "two"):
            made.do("start", name, kind="http", address=AT, port=ports[name])
        made.do(
            "start", "front", kind="forward", address=AT, port=ports["front"], answer=f"{AT}:{ports['one']}"
        )
        lab = tmp_path / "lab.yaml"
        lab.write_text(LAB.format(at=AT, port=ports["front"]))
        for name in ("pull", "push"):
            script = tmp_path / "bin" / name
            script.parent.mkdir(exist_ok=True)
            script.write_text(COMMAND.format(name=name))
            script.chmod(0o755)

        def drilled(run: int) -> tuple[str, float]:
            with owner(tmp_path, made, ports):
                said = typed("drill", str(lab), "pull one", "--yes", "--json")
            assert said.status in (0, 1), said.err
            answer = json.loads(said.out)
            assert answer["given_up"] == ""
            (probe,) = observed(tmp_path / "lab.record", run).probes
            (outage,) = probe.outages
            lines = {each["thing"]: each["sort"] for each in answer["comparison"]["lines"]}
            return lines["pages"], outage.lasts_s

        sort, lasted_s = drilled(1)
        assert lasted_s == pytest.approx(TRUE_S, abs=0.15)
        assert sort == "slower"
        told = typed("compare", str(lab))
        assert "change 1  taking over takes pages 3" in told.out
        assert "then    pages is as foretold" in told.out
        assert typed("compare", str(lab), "--offer", "1", "--write").status == 0
        learnt = typed("learn", str(lab), "--write")
        assert learnt.status == 0, learnt.err
        (pages,) = load(lab).of(Service)
        assert pages.takes_over == pytest.approx(TRUE_S, abs=0.15)
        assert "# or so we think" in lab.read_text()
        sort, _ = drilled(2)
        assert sort == "as foretold"
