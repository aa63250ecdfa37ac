"""How soon does the page answer: when it is opened, when a plug is pulled, and when the file is saved?

Usage: python benchmarks/page.py [first|pull|browser|save|large]...     (default all of them)

first    from `falsework look` of the observatory, a cold process, to the last byte of the first page, best of 5;
         beside it a whole report, which is what one would look at without a page
pull     a plug pulled at the server, each of the observatory's parts once over one connection; beside it the obvious
         way, `falsework lose LAB PART --picture FILE` anew for each
browser  the same in a browser, from the click to the second frame after the new picture; beside it loading the address
save     from the save of the file to the event that the page was drawn anew, for one open page and for 200; beside it
         checking the lab anew
large    an invented lab of 1,000 nodes: the first page, and pulls

Prints one JSON object a line, and writes them to results/page.json. Fails only if an answer is wrong.
"""

from __future__ import annotations

import asyncio
import contextlib
import html
import http.client
import json
import os
import re
import shutil
import signal
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any
from urllib.parse import quote

from falsework.invent import invent
from falsework.model.build import load
from falsework.support.standing import Standing

ROOT = Path(__file__).resolve().parent.parent
RESULTS = Path(__file__).parent / "results"
OBSERVATORY = ROOT / "examples" / "observatory" / "draft.yaml"
COMMAND = (sys.executable, "-m", "falsework")
RUNS = 5


class Host(str):
    """Host and port of a page, and the process that serves it."""

    pid: int

    @property
    def spent_s(self) -> float:
        """Seconds that processors have worked for it, where the system tells; those of its children apart."""
        try:
            said = Path(f"/proc/{self.pid}/stat").read_text(encoding="utf-8", errors="replace")
        except OSError:
            return 0.0
        user, system = said.rpartition(")")[2].split()[11:13]
        return (int(user) + int(system)) / os.sysconf("SC_CLK_TCK")


@contextlib.contextmanager
def served(lab: Path) -> Iterator[Host]:
    """A page of a lab, until the block ends."""
    process = subprocess.Popen([*COMMAND, "look", str(lab), "--no-open"], stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    try:
        found = re.search(r"http://([^/]+)/", process.stdout.readline())
        if found is None:
            raise SystemExit("falsework look told no address")
        host = Host(found[1])
        host.pid = process.pid
        yield host
    finally:
        process.send_signal(signal.SIGINT)
        process.wait()
        process.stdout.close()


def settle(host: str) -> None:
    """Wait until the aims have been judged: from then on nothing works beside the page."""

    async def work() -> None:
        reader, writer = await stream(host, "0-0")
        await judged(reader)
        writer.close()

    asyncio.run(work())


async def stream(host: str, since: str = "") -> tuple[asyncio.StreamReader, asyncio.StreamWriter]:
    """One client of the stream of events, after its greeting."""
    name, _, port = host.rpartition(":")
    reader, writer = await asyncio.open_connection(name, int(port), limit=2**20)
    writer.write(f"GET /events?since={since} HTTP/1.1\r\nHost: {host}\r\n\r\n".encode())
    await reader.readuntil(b"event: hello")
    return reader, writer


async def judged(reader: asyncio.StreamReader) -> None:
    """Wait until all aims have been judged."""
    while b'"early":true' in (await reader.readuntil(b"event: judged"), await reader.readuntil(b"\n\n"))[1]:
        pass


def got(connection: http.client.HTTPConnection, address: str, **headers: str) -> tuple[float, bytes]:
    """Seconds from asking to the last byte, and all of them.

    Raises:
        SystemExit: it was not answered.
    """
    start = time.perf_counter()
    connection.request("GET", address, headers=headers)
    answer = connection.getresponse()
    body = answer.read()
    seconds = time.perf_counter() - start
    if answer.status != 200:
        raise SystemExit(f"{address} was answered by {answer.status}")
    return seconds, body


def ran(*words: str) -> tuple[float, str]:
    """Seconds of one command from a cold process, and what it says.

    Raises:
        SystemExit: it could not answer.
    """
    start = time.perf_counter()
    done = subprocess.run([*COMMAND, *words], capture_output=True, text=True, check=False)
    seconds = time.perf_counter() - start
    if done.returncode not in (0, 1):
        raise SystemExit(f"falsework {' '.join(words)} ended with {done.returncode}:\n{done.stderr}")
    return seconds, done.stdout


def best(runs: int, work: Callable[[], tuple[float, Any]]) -> float:
    """The least seconds of several runs."""
    return min(work()[0] for _ in range(runs))


def opened(lab: Path) -> tuple[float, float, bytes]:
    """Seconds from the command to the last byte of the first page, those of processors, and the page."""
    start = time.perf_counter()
    with served(lab) as host:
        connection = http.client.HTTPConnection(host)
        _, body = got(connection, "/")
        seconds, worked = time.perf_counter() - start, host.spent_s
        connection.close()
    return seconds, worked, body


def first(lab: Path = OBSERVATORY) -> Iterator[dict[str, Any]]:
    """The first page."""
    seconds, worked, body = min((opened(lab) for _ in range(RUNS)), key=lambda each: each[0])
    if b'data-id="A"' not in body:
        raise SystemExit("the first page shows no enclosure A")
    with tempfile.TemporaryDirectory() as folder:
        report = best(3, lambda: ran("check", str(lab), "--report", f"{folder}/r.html"))
    yield {
        "what": "first page of the observatory, from the command",
        "best_s": round(seconds, 2),
        "processor_s": round(worked, 2),
        "kib": round(len(body) / 1024),
        "a_report_s": round(report, 2),
        "ratio": round(report / seconds, 1),
    }


def pulled(host: str, parts: Sequence[str]) -> list[float]:
    """Seconds of pulling each of these parts, only the sheet's inside asked for as the page's script does."""
    connection = http.client.HTTPConnection(host)
    spent = []
    for part in parts:
        seconds, body = got(connection, f"/?out={quote(part)}", **{"HX-Request": "true"})
        # A cable of a folded rack is not drawn; the panel names it.
        if b">Out<" not in body or html.escape(part).encode() not in body:
            raise SystemExit(f"nothing is pulled in the answer to pulling {part}")
        spent.append(seconds)
    connection.close()
    return spent


def pull() -> Iterator[dict[str, Any]]:
    """A pulled plug at the server."""
    drawn = drawn_parts(OBSERVATORY)
    parts = [each for each in Standing(load(OBSERVATORY)).parts if each in drawn]
    with served(OBSERVATORY) as host, tempfile.TemporaryDirectory() as folder:
        settle(host)
        before_s = host.spent_s
        spent = pulled(host, parts)
        worked = (host.spent_s - before_s) / len(parts)
        again = pulled(host, parts)
        for part in parts[:: max(len(parts) // 5, 1)]:
            told = json.loads(ran("lose", str(OBSERVATORY), part, "--json")[1])
            connection = http.client.HTTPConnection(host)  # meanwhile the last one has been closed
            if json.loads(got(connection, f"/answers/lose?out={quote(part)}")[1]) != told:
                raise SystemExit(f"the page and the command differ on the loss of {part}")
            connection.close()
        plain = best(RUNS, lambda: ran("lose", str(OBSERVATORY), parts[0], "--picture", f"{folder}/p.svg"))
    middle = statistics.median(spent)
    yield {
        "what": f"a plug pulled at the server, {len(parts)} parts of the observatory",
        "best_ms": round(min(spent) * 1000, 1),
        "median_ms": round(middle * 1000, 1),
        "worst_ms": round(max(spent) * 1000, 1),
        "processor_ms": round(worked * 1000, 1),
        "again_median_ms": round(statistics.median(again) * 1000, 1),
        "the_command_anew_s": round(plain, 2),
        "ratio": round(plain / middle),
    }


def drawn_parts(lab: Path) -> set[str]:
    """The parts that can be touched on the first page of a lab."""
    body = opened(lab)[2].decode()
    return set(
        re.findall(
            r'<g class="thing[^>]*data-id="([^"]+)"[^>]*>(?:<title>[^<]*</title>)?\s*<a[^>]*aria-pressed',
            body,
        )
    )


CLICKED = """(name) => new Promise((done) => {
  const link = document.querySelector(`[data-id="${CSS.escape(name)}"] a.touch`);
  const start = performance.now();
  const shown = () => {
    if (!document.querySelector("#sheet a.touch[aria-pressed=true], #sheet a.touch[aria-pressed=mixed]")) return;
    document.removeEventListener("falsework:shown", shown);
    requestAnimationFrame(() => requestAnimationFrame(() => done(performance.now() - start)));
  };
  document.addEventListener("falsework:shown", shown);
  link.dispatchEvent(new MouseEvent("click", {bubbles: true, cancelable: true}));
})"""


def browser(
    lab: Path = OBSERVATORY, what: str = "the observatory", parts: int = 12
) -> Iterator[dict[str, Any]]:
    """A pulled plug in the browser."""
    from playwright.sync_api import sync_playwright

    where = shutil.which("chromium") or shutil.which("chromium-browser")
    if where is None:
        return
    with served(lab) as host:
        settle(host)
        with sync_playwright() as tool:
            opened_one = tool.chromium.launch(executable_path=where, args=["--no-sandbox", "--disable-gpu"])
            page = opened_one.new_page(viewport={"width": 1280, "height": 900})
            page.goto(f"http://{host}/")
            names = page.eval_on_selector_all(
                "[data-id]:not([data-word=store]):has(> a.touch[aria-pressed=false])",
                "all => all.map(each => each.dataset.id)",
            )[::3][:parts]
            spent, loaded = [], []
            for name in [names[0], *names]:  # the first one warms up
                page.goto(f"http://{host}/")
                page.locator("#sheet [data-working], #block [data-working]").first.wait_for(state="detached")
                spent.append(page.evaluate(CLICKED, name))
                if "out=" not in page.url:
                    raise SystemExit(f"the click on {name} pulled nothing")
                start = time.perf_counter()
                page.goto(page.url)
                loaded.append((time.perf_counter() - start) * 1000)
            opened_one.close()
    spent, loaded = spent[1:], loaded[1:]
    yield {
        "what": f"a plug pulled in the browser, {len(spent)} parts of {what}, click to second frame",
        "best_ms": round(min(spent)),
        "median_ms": round(statistics.median(spent)),
        "worst_ms": round(max(spent)),
        "loading_the_address_median_ms": round(statistics.median(loaded)),
        "ratio": round(statistics.median(loaded) / statistics.median(spent), 1),
    }


def save() -> Iterator[dict[str, Any]]:
    """A save, until open pages know that all is drawn anew."""
    text = OBSERVATORY.read_text(encoding="utf-8")
    with tempfile.TemporaryDirectory() as folder:
        lab = Path(folder) / "lab.yaml"
        lab.write_text(text, encoding="utf-8")
        anew = best(RUNS, lambda: ran("check", str(lab)))
        with served(lab) as host:
            settle(host)
            for clients in (1, 200):
                spent = asyncio.run(saved(host, lab, text, clients))
                yield {
                    "what": f"from a save to `drawn`, the last of {clients} open page{'s' if clients > 1 else ''}",
                    "best_ms": round(min(spent) * 1000),
                    "median_ms": round(statistics.median(spent) * 1000),
                    "worst_ms": round(max(spent) * 1000),
                    "a_check_anew_s": round(anew, 2),
                    "ratio": round(anew / statistics.median(spent), 1),
                }


async def saved(host: str, lab: Path, text: str, clients: int) -> list[float]:
    """Seconds of several saves until every client has heard of them; each when the one before has been judged."""
    streams = await asyncio.gather(*(stream(host) for _ in range(clients)))
    spent = []
    for run in range(7):
        fresh = lab.with_name(".new")
        fresh.write_text(f"{text}# {clients} {run}\n", encoding="utf-8")
        start = time.perf_counter()
        fresh.replace(lab)
        await asyncio.gather(*(reader.readuntil(b"event: drawn") for reader, _ in streams))
        spent.append(time.perf_counter() - start)
        await asyncio.gather(*(judged(reader) for reader, _ in streams))
    for _, writer in streams:
        writer.close()
    return spent


def large() -> Iterator[dict[str, Any]]:
    """A lab of 1,000 nodes."""
    with tempfile.TemporaryDirectory() as folder:
        lab = Path(folder) / "large.yaml"
        lab.write_text(invent(1000, seed=1), encoding="utf-8")
        seconds, worked, body = min((opened(lab) for _ in range(3)), key=lambda each: each[0])
        yield {
            "what": "first page of 1,000 nodes, folded, from the command",
            "best_s": round(seconds, 2),
            "processor_s": round(worked, 2),
            "kib": round(len(body) / 1024),
        }
        parts = Standing(load(lab)).parts
        wanted = parts[:: len(parts) // 20]
        with served(lab) as host:
            busy = pulled(host, parts[7 :: len(parts) // 20])  # others: what was asked once is kept
            settle(host)
            before_s = host.spent_s
            spent = pulled(host, wanted)
            worked = (host.spent_s - before_s) / len(wanted)
        plain = ran("lose", str(lab), wanted[0], "--picture", f"{folder}/p.svg")[0]
        yield {
            "what": f"a plug pulled at the server, {len(wanted)} of {len(parts):,} parts of 1,000 nodes",
            "best_ms": round(min(spent) * 1000),
            "median_ms": round(statistics.median(spent) * 1000),
            "worst_ms": round(max(spent) * 1000),
            "processor_ms": round(worked * 1000),
            "while_the_aims_are_judged_median_ms": round(statistics.median(busy) * 1000),
            "the_command_anew_s": round(plain, 2),
            "ratio": round(plain / statistics.median(spent)),
        }
        yield from browser(lab, "1,000 nodes", 5)


if __name__ == "__main__":
    PARTS = {"first": first, "pull": pull, "browser": browser, "save": save, "large": large}
    asked = sys.argv[1:] or list(PARTS)
    kept = RESULTS / "page.json"
    known = json.loads(kept.read_text(encoding="utf-8")) if kept.exists() else {}
    for each in asked:
        known[each] = []
        for row in PARTS[each]():
            row["load"] = round(os.getloadavg()[0], 1)
            known[each].append(row)
            print(json.dumps(row), flush=True)
    kept.write_text(json.dumps(known, indent=1) + "\n", encoding="utf-8")
