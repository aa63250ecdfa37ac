import asyncio
import json
import re
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from tests.page.conftest import KITCHEN, OBSERVATORY
from tests.waiting import gone

pytestmark = pytest.mark.slow  # each starts the command


class Stream:
    """One client of the stream of events over the wire."""

    def __init__(self, served, since=""):
        self.served = served
        self.since = since
        self.reader = None
        self.writer = None

    async def begin(self):
        """Connect, and wait for the greeting."""
        host, _, port = self.served.host.rpartition(":")
        self.reader, self.writer = await asyncio.open_connection(host, int(port), limit=2**20)
        self.writer.write(
            f"GET /events?since={self.since} HTTP/1.1\r\nHost: {self.served.host}\r\n\r\n".encode()
        )
        assert await self.event() == ("hello", None)
        return self

    async def event(self):
        """The next event: its name, and for all but the greeting its data."""
        while True:
            name = (await self.reader.readuntil(b"event: "), await self.reader.readline())[1].decode().strip()
            line = (await self.reader.readuntil(b"data: "), await self.reader.readline())[1]
            return name, None if name == "hello" else json.loads(line)

    async def until(self, wanted):
        """The data of the next event of this name; of verdicts the whole one."""
        while True:
            name, data = await self.event()
            if name == wanted and not data.get("early"):
                return data

    async def ended(self):
        """Read on until the server has ended the stream."""
        while await self.reader.read(65_536):
            pass
        self.writer.close()


def run(work):
    """Run a coroutine, for five minutes at the most."""
    return asyncio.run(asyncio.wait_for(work, 300))


def test_one_save_reaches_two_hundred_open_pages(page_of):
    """Of 200 streams each gets the news of one save once; interrupted, the command ends them all and itself."""
    served = page_of(KITCHEN)
    text = served.file.read_text(encoding="utf-8")

    async def work():
        streams = await asyncio.gather(*(Stream(served).begin() for _ in range(200)))
        served.file.write_text(text + "\n# more\n", encoding="utf-8")
        found = await asyncio.gather(*(each.until("drawn") for each in streams))
        served.process.send_signal(signal.SIGINT)
        await asyncio.gather(*(each.ended() for each in streams))
        return found

    found = run(work())
    assert found == [{"number": 2}] * 200
    assert served.process.wait(60) == 0


def test_a_fault_is_told_and_the_last_good_state_stays(page_of):
    """While the file has a fault the page shows it with its place, and the lab as it was before."""
    served = page_of(KITCHEN)
    text = served.file.read_text(encoding="utf-8")

    async def work():
        stream = await Stream(served).begin()
        served.file.write_text(text + "\nmachnes:\n  x: node\n", encoding="utf-8")
        trouble = await stream.until("trouble")
        during = await asyncio.to_thread(served.get, "/")
        served.file.write_text(text, encoding="utf-8")
        await stream.until("drawn")
        after = await asyncio.to_thread(served.get, "/")
        stream.writer.close()
        return trouble, during.text, after.text

    trouble, during, after = run(work())
    assert trouble == {"number": 1, "faults": 1}
    line = text.count("\n") + 2
    assert "machnes" in during
    assert f"{line}:1" in during
    assert 'data-id="desk-1"' in during
    assert "machnes" not in after
    assert 'data-id="desk-1"' in after


def test_a_file_with_faults_from_the_beginning_is_shown_as_such(page_of):
    """A lab that was never good shows its faults, with their places, and is drawn once it is mended."""
    served = page_of("falsework: 1\nlab: Broken\nmachines:\n  desk: nodd\n")
    first = served.get("/")
    assert "lab.yaml:4:9" in re.sub(r"<[^>]+>", "", first.text)

    async def work():
        stream = await Stream(served).begin()
        served.file.write_text(KITCHEN.read_text(encoding="utf-8"), encoding="utf-8")
        await stream.until("drawn")
        stream.writer.close()

    run(work())
    assert 'data-id="desk-1"' in served.get("/").text


def test_nothing_is_missed_between_the_page_and_its_stream(page_of):
    """A save that falls between drawing a page and its stream's beginning is told by the stream."""
    served = page_of(KITCHEN)
    text = served.file.read_text(encoding="utf-8")
    mark = re.search(r'<meta name="falsework-mark" content="([^"]*)"', served.get("/").text)[1]

    async def work():
        first = await Stream(served).begin()
        served.file.write_text(text + "\n# more\n", encoding="utf-8")
        await first.until("drawn")
        late = await Stream(served, mark).begin()
        found = await late.until("drawn")
        for each in (first, late):
            each.writer.close()
        return found

    assert run(work()) == {"number": 2}


def test_the_verdict_is_that_of_the_command(page_of):
    """The title block says what a check says, and a program gets the very answer of the command."""
    served = page_of(OBSERVATORY)

    async def work():
        stream = await Stream(served, "0-0").begin()
        found = await stream.until("judged")
        stream.writer.close()
        return found

    judged = run(work())
    command = subprocess.run(
        [sys.executable, "-m", "falsework", "check", served.file.name, "--json"],
        cwd=served.file.parent,
        capture_output=True,
        text=True,
        check=False,
    )
    answer = json.loads(command.stdout)
    broken = sum(1 for aim in answer["aims"] if aim["met"] is False)
    assert judged["verdict"].startswith(f"{broken} of {len(answer['aims'])} aims are broken")
    sheet = served.get("/").text
    assert judged["verdict"] in sheet
    assert "waits for itself: names" in sheet  # the arches of a cold start come with the verdict
    assert re.search("need each other to start: [^<]*secrets", sheet)
    assert json.loads(served.get("/answers/check").text) == answer


def test_a_folder_of_lab_files_is_followed_file_by_file(page_of, tmp_path):
    """A lab of several files is one lab: a file that comes, changes and goes is told each time."""
    folder = tmp_path / "shelf"
    folder.mkdir()
    text = KITCHEN.read_text(encoding="utf-8")
    begin = text.index("aims:")
    (folder / "lab.yaml").write_text(text[:begin], encoding="utf-8")
    served = page_of(folder)
    more = served.file / "more" / "aims.yaml"

    async def work():
        stream = await Stream(served).begin()
        more.parent.mkdir()
        more.write_text(text[begin:], encoding="utf-8")
        came = await stream.until("drawn")
        more.write_text("aims:\n  wrong: {loose: node}\n", encoding="utf-8")
        wrong = await stream.until("trouble")
        during = await asyncio.to_thread(served.get, "/")
        more.unlink()
        gone = await stream.until("drawn")
        stream.writer.close()
        return came, wrong, gone, during.text

    came, wrong, gone, during = run(work())
    assert (came["number"], wrong["number"], gone["number"]) == (2, 2, 3)
    assert "more/aims.yaml:2:11" in re.sub(r"<[^>]+>", "", during)


def below(pid):
    """The processes that a process has started, and those that they have, by what the kernel tells."""
    parents = {}
    for each in Path("/proc").glob("[0-9]*/stat"):
        try:
            said = each.read_text(encoding="utf-8", errors="replace")
        except OSError:
            continue  # it has ended meanwhile
        parents[int(each.parent.name)] = int(said.rpartition(")")[2].split()[1])
    found, left = set(), [pid]
    while left:
        one = left.pop()
        more = [child for child, parent in parents.items() if parent == one]
        found.update(more)
        left += more
    return found


@pytest.mark.skipif(not Path("/proc/self/stat").exists(), reason="processes are looked up in /proc")
@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGTERM, signal.SIGKILL])
def test_no_process_outlives_the_command(page_of, how):
    """Interrupted, ended or killed: whatever the command has started ends with it, work in progress too."""
    served = page_of(OBSERVATORY)

    async def work():
        stream = await Stream(served, "0-0").begin()
        await stream.until("judged")  # by now the processes for heavy work are there
        served.file.write_text(OBSERVATORY.read_text(encoding="utf-8") + "\n# more\n", encoding="utf-8")
        await stream.until("drawn")
        while len(found := below(served.process.pid)) < 2:
            await asyncio.sleep(0.01)
        served.process.send_signal(how)
        await stream.ended()
        served.process.wait()
        while not all(gone(each) for each in found):
            await asyncio.sleep(0.01)

    run(work())
