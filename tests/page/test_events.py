import asyncio
import socket

import pytest
import uvicorn
from hypothesis import given, settings
from hypothesis import strategies as st

from falsework.faces.page.events import MOST_KINDS, Hub, encoded


def read(stream: bytes) -> list[tuple[str, str, str]]:
    """What a browser makes of a stream: name, data and id of each event."""
    events = []
    name, data, mark = "message", [], ""
    for line in stream.decode().replace("\r\n", "\n").replace("\r", "\n").split("\n"):
        field, _, value = line.partition(":")
        value = value.removeprefix(" ")
        if not line:
            if data:
                events.append((name, "\n".join(data), mark))
            name, data = "message", []
        elif field == "event":
            name = value
        elif field == "data":
            data.append(value)
        elif field == "id":
            mark = value
    return events


class Listener:
    """A client that is a few lines of ASGI: keeps what it is sent, and may refuse to take any."""

    def __init__(self, hub, query=b"", headers=()):
        self.stream = bytearray()
        self.status = 0
        self.open = asyncio.Event()
        self.open.set()
        self.came = asyncio.Event()
        self.gone = asyncio.Event()
        scope = {
            "type": "http",
            "method": "GET",
            "path": "/events",
            "query_string": query,
            "headers": list(headers),
        }
        self.task = asyncio.ensure_future(hub(scope, self.receive, self.send))

    async def receive(self):
        """Give no message until the client hangs up."""
        await self.gone.wait()
        return {"type": "http.disconnect"}

    async def send(self, message):
        """Take a message, once the client reads."""
        await self.open.wait()
        if message["type"] == "http.response.start":
            self.status = message["status"]
        self.stream += message.get("body", b"")
        self.came.set()

    async def until(self, count):
        """Wait until there are so many events besides the first."""
        while len(self.events) < count:
            self.came.clear()
            await self.came.wait()
        return self.events

    @property
    def events(self):
        """What came so far, but for the greeting."""
        return [event for event in read(bytes(self.stream)) if event[0] != "hello"]


def run(work):
    """Run a coroutine function, for five minutes at the most."""
    return asyncio.run(asyncio.wait_for(work(), 300))


@settings(deadline=None, max_examples=60)
@given(st.text(st.characters(exclude_categories=["Cs"])))
def test_any_text_comes_out_as_it_went_in(text):
    """No text breaks out of its event; only the way its lines end is made the same."""
    events = read(encoded("drawn", text, "x-1"))
    assert events == [("drawn", text.replace("\r\n", "\n").replace("\r", "\n"), "x-1")]


def test_every_client_gets_every_event_that_it_has_time_for():
    """Two clients that listen get both events, in order, with ids that count up."""

    async def work():
        hub = Hub()
        two = [Listener(hub), Listener(hub)]
        await asyncio.gather(*(each.came.wait() for each in two))
        hub.publish("drawn", {"version": 2})
        await asyncio.gather(*(each.until(1) for each in two))
        hub.publish("judged", "said")
        found = await asyncio.gather(*(each.until(2) for each in two))
        hub.close()
        await asyncio.gather(*(each.task for each in two))
        return hub, found

    hub, found = run(work)
    assert found[0] == found[1]
    assert found[0] == [
        ("drawn", '{"version":2}', f"{hub.run}-1"),
        ("judged", "said", f"{hub.run}-2"),
    ]
    assert len(hub) == 0


def test_a_slow_client_gets_the_newest_of_each_kind_and_holds_nobody_up():
    """While one client takes nothing the others get all; then it gets only what is still news."""

    async def work():
        hub = Hub()
        slow, quick = Listener(hub), Listener(hub)
        await asyncio.gather(slow.came.wait(), quick.came.wait())
        slow.open.clear()
        hub.publish("drawn", "0")  # this one it is being sent when it stops to read
        await quick.until(1)
        for number in range(1, 50):
            hub.publish("drawn", str(number))
            hub.publish("working", str(number), kind="working a", keep=False)
            await quick.until(1 + 2 * number)
        slow.open.set()
        found = await slow.until(3)
        hub.close()
        await asyncio.gather(slow.task, quick.task)
        return found, quick.events

    slow, quick = run(work)
    assert [event[:2] for event in slow] == [("drawn", "0"), ("drawn", "49"), ("working", "49")]
    assert len(quick) == 99


def test_a_client_that_takes_nothing_for_long_is_let_go():
    """Whoever reads nothing for the time that is allowed makes room for others."""

    async def work():
        hub = Hub(slowest_s=0.01)
        stuck = Listener(hub)
        await stuck.came.wait()
        stuck.open.clear()
        hub.publish("drawn", "1")
        while len(hub):
            await asyncio.sleep(0)
        hub.publish("drawn", "2")
        stuck.open.set()
        await stuck.task
        return stuck.events

    assert run(work) == []


def test_silence_is_broken_so_that_one_knows_it_is_alive():
    """A stream without news carries comments, which are no events."""

    async def work():
        hub = Hub(beat_s=0.01)
        one = Listener(hub)
        while one.stream.count(b": still here") < 2:
            one.came.clear()
            await one.came.wait()
        hub.close()
        await one.task
        return one.events

    assert run(work) == []


@pytest.mark.parametrize("by_header", [True, False])
def test_who_comes_back_gets_what_was_missed(by_header):
    """With the id of the last event seen, or the mark of the page, the newest of each later kind comes."""

    async def work():
        hub = Hub()
        hub.begin()
        hub.publish("drawn", "1")
        mark = hub.mark
        hub.publish("drawn", "2")
        hub.publish("judged", "2")
        hub.publish("drawn", "3")
        hub.publish("working", "not kept", keep=False)
        given = (
            {"headers": [(b"last-event-id", mark.encode())]}
            if by_header
            else {"query": f"since={mark}".encode()}
        )
        back, other_run, fresh = (
            Listener(hub, **given),
            Listener(hub, query=b"since=0123-99"),
            Listener(hub, query=f"since={hub.mark}".encode()),
        )
        found = await back.until(2), await other_run.until(2)
        await fresh.came.wait()
        hub.close()
        await asyncio.gather(back.task, other_run.task, fresh.task)
        return *found, fresh.events

    back, other_run, fresh = run(work)
    assert [event[:2] for event in back] == [("judged", "2"), ("drawn", "3")]
    assert other_run == back
    assert fresh == []


def test_one_client_too_many_is_asked_to_come_again():
    """Beyond the limit the answer is 503, with the time to wait; when one goes there is room again."""

    async def work():
        hub = Hub(most=2)
        two = [Listener(hub), Listener(hub)]
        await asyncio.gather(*(each.came.wait() for each in two))
        third = Listener(hub)
        await third.task
        two[0].gone.set()
        await two[0].task
        fourth = Listener(hub)
        await fourth.came.wait()
        hub.close()
        await asyncio.gather(two[1].task, fourth.task)
        late = Listener(hub)
        await late.task
        return third.status, fourth.status, late.status

    assert run(work) == (503, 200, 503)


def test_kinds_that_wait_are_bounded():
    """However many kinds of events there are, a client that takes none holds a bounded number."""

    async def work():
        hub = Hub()
        slow = Listener(hub)
        await slow.came.wait()
        slow.open.clear()
        for number in range(10 * MOST_KINDS):
            hub.publish("working", str(number), kind=f"working {number}")
        slow.open.set()
        found = await slow.until(MOST_KINDS)
        hub.close()
        await slow.task
        return found

    assert [int(event[1]) for event in run(work)] == list(range(9 * MOST_KINDS, 10 * MOST_KINDS))


def test_news_from_another_thread_reaches_the_clients():
    """What a thread publishes is given out on the loop."""

    async def work():
        hub = Hub()
        one = Listener(hub)
        await one.came.wait()
        await asyncio.to_thread(hub.publish_soon, "drawn", "1")
        found = await one.until(1)
        hub.close()
        await one.task
        await asyncio.to_thread(hub.publish_soon, "drawn", "2")  # nobody hears it, nothing fails
        return found

    assert [event[:2] for event in run(work)] == [("drawn", "1")]


@pytest.mark.slow
def test_two_hundred_clients_over_the_wire_each_get_the_news_though_some_read_nothing():
    """200 clients on loopback get the news while 20 more never read; closing ends all the streams."""

    async def client(port, ready, got):
        reader, writer = await asyncio.open_connection("127.0.0.1", port, limit=2**24)
        writer.write(b"GET /events HTTP/1.1\r\nHost: here\r\n\r\n")
        await reader.readuntil(b"event: hello")
        ready.release()
        before = await reader.readuntil(b"data: new")
        got.release()
        after = await reader.read()
        writer.close()
        return (before + after).count(b"event: drawn")

    async def work():
        hub = Hub()
        with socket.create_server(("127.0.0.1", 0), backlog=512) as listening:
            port = listening.getsockname()[1]
            server = uvicorn.Server(uvicorn.Config(hub, lifespan="off", log_level="warning", ws="none"))
            serving = asyncio.ensure_future(server.serve([listening]))
            ready, got = asyncio.Semaphore(0), asyncio.Semaphore(0)
            clients = [asyncio.ensure_future(client(port, ready, got)) for _ in range(200)]
            deaf = [socket.socket() for _ in range(20)]
            for each in deaf:
                each.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4096)
                each.connect(("127.0.0.1", port))
                each.sendall(b"GET /events HTTP/1.1\r\nHost: here\r\n\r\n")
            for _ in clients:
                await ready.acquire()
            while len(hub) < 220:
                await asyncio.sleep(0)
            for _ in range(60):
                hub.publish(
                    "filling", "x" * 100_000
                )  # in all far more than waits in a pipe that nobody reads
                await asyncio.sleep(0)
            hub.publish("drawn", "new")
            for _ in clients:
                await got.acquire()
            for each in deaf:
                each.close()
            hub.close()
            found = await asyncio.gather(*clients)
            server.should_exit = True
            await serving
            return found, len(hub)

    found, left = run(work)
    assert found == [1] * 200
    assert left == 0
