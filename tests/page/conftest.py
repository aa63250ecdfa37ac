"""A page served as a person has it, by the command itself, and a browser that looks at it."""

import contextlib
import http.client
import re
import shutil
import signal
import subprocess
import sys
import urllib.parse
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from tests.waiting import LONGEST_S

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
OBSERVATORY = EXAMPLES / "observatory" / "draft.yaml"
KITCHEN = EXAMPLES / "kitchen-shelf.yaml"
PATIENCE_MS = 2 * LONGEST_S * 1000
"""What is not seen by then is not there: a lab is checked, and its sheets worked out, beside everything else."""


@dataclass(slots=True, kw_only=True, eq=False)
class Served:
    """A page that is served.

    Attributes:
        url: its address as the command printed it.
        file: the lab file, a copy of which nobody else knows.
        process: of the command.
    """

    url: str
    file: Path
    process: subprocess.Popen[str]
    _token: str = field(default="")

    @property
    def base(self) -> str:
        """Its address without the slash at the end, and without a token."""
        return self.url.partition("?")[0].rstrip("/")

    @property
    def host(self) -> str:
        """Host and port, as headers say them."""
        return urllib.parse.urlsplit(self.url).netloc

    @property
    def token(self) -> str:
        """What a write must name: the page tells it."""
        if not self._token:
            found = re.search(r'<meta name="falsework" content="([^"]+)"', self.get("/").text)
            assert found, "the page names no token"
            self._token = found[1]
        return self._token

    def get(self, path: str, **headers: str) -> "Answer":
        """Ask for an address; in names of headers `_` stands for `-`."""
        return self.ask("GET", path, headers={name.replace("_", "-"): said for name, said in headers.items()})

    def post(self, path: str, body: bytes | str = b"", **headers: str) -> "Answer":
        """Write as the page itself does."""
        given = {"Origin": f"http://{self.host}", "X-Falsework": self.token}
        given |= {name.replace("_", "-"): said for name, said in headers.items()}
        return self.ask("POST", path, body=body, headers=given)

    def ask(
        self, method: str, path: str, *, body: Any = None, headers: dict[str, str] | None = None
    ) -> "Answer":
        """Send a request just so: redirects are not followed, nothing is added but what HTTP needs."""
        connection = http.client.HTTPConnection(self.host, timeout=LONGEST_S)
        try:
            connection.request(method, path, body=body, headers=headers or {})
            answer = connection.getresponse()
            return Answer(
                status=answer.status,
                headers={name.lower(): said for name, said in answer.getheaders()},
                body=answer.read(),
            )
        finally:
            connection.close()


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What came back: the status, the headers by their names in small letters, the body."""

    status: int
    headers: dict[str, str]
    body: bytes

    @property
    def text(self) -> str:
        """The body as text."""
        return self.body.decode()


def settled(page: Any) -> None:
    """Wait until nothing on a sheet is still being worked out."""
    page.locator("#sheet [data-working], #block [data-working]").first.wait_for(state="detached")


def addressed(page: Any, *said: str, without: str = "\n") -> None:
    """Wait until the page's address says all of this, and not that."""
    page.wait_for_url(
        lambda url: all(each in url for each in said) and without not in url, wait_until="commit"
    )


@pytest.fixture
def page_of(tmp_path: Path) -> Iterator[Callable[..., Served]]:
    """A function that serves a lab, given as text or path, with further options of the command."""
    with serving(tmp_path) as serve:
        yield serve


@pytest.fixture(scope="module")
def page_kept(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Callable[..., Served]]:
    """The same, but a lab is served once for all tests of a module: for those that change nothing."""
    with serving(tmp_path_factory.mktemp("kept")) as serve:
        yield cache(serve)


@contextlib.contextmanager
def serving(place: Path) -> Iterator[Callable[..., Served]]:
    """A function that serves copies of labs below a folder; at the end each is interrupted, and must end."""
    served: list[tuple[Served, Path]] = []

    def serve(lab: str | Path = KITCHEN, *options: str) -> Served:
        folder = place / f"served-{len(served)}"
        folder.mkdir()
        if isinstance(lab, Path):
            file = folder / lab.name
            if lab.is_dir():
                shutil.copytree(lab, file)
            else:
                shutil.copyfile(lab, file)
        else:
            file = folder / "lab.yaml"
            file.write_text(lab, encoding="utf-8")
        errors = folder / ".errors"  # hidden: no lab file of a folder
        with errors.open("w") as stream:
            process = subprocess.Popen(
                # From within the folder: what the page says of places is then the same everywhere.
                [sys.executable, "-m", "falsework", "look", file.name, "--port", "0", "--no-open", *options],
                cwd=folder,
                stdout=subprocess.PIPE,
                stderr=stream,
                text=True,
            )
        assert process.stdout is not None
        for line in process.stdout:
            found = re.search(r"http://\S+", line)
            if found:
                one = Served(url=found[0].rstrip("."), file=file, process=process)
                served.append((one, errors))
                return one
        process.stdout.close()
        process.wait()
        raise AssertionError(f"no address was printed; it said: {errors.read_text()}")

    yield serve
    said = []
    for one, errors in served:
        if one.process.poll() is None:
            one.process.send_signal(signal.SIGINT)
        try:
            one.process.wait(LONGEST_S)
        except subprocess.TimeoutExpired:
            one.process.kill()
            one.process.wait()
            said.append("it did not end when interrupted")
        if one.process.stdout is not None:
            one.process.stdout.close()
        # A process that was just being begun as its parent was killed says that it was given nothing to do.
        if not (one.process.returncode == -signal.SIGKILL and "EOFError" in errors.read_text()):
            said.append(errors.read_text())
    assert not "".join(said).strip(), "".join(said)


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    """A browser. One a module, since while it is open nothing else may run an event loop here."""
    from playwright.sync_api import expect, sync_playwright

    expect.set_options(timeout=PATIENCE_MS)
    # The first has no window to draw: it takes half the time of the others.
    names = ("chromium-headless-shell", "chromium", "chromium-browser")
    found = next(filter(None, map(shutil.which, names)), None)
    if found is None:
        pytest.skip("there is no chromium on this machine")
    with sync_playwright() as tool:
        opened = tool.chromium.launch(executable_path=found, args=["--no-sandbox", "--disable-gpu"])
        yield opened
        opened.close()


@pytest.fixture
def sheet(browser: Any) -> Iterator[Callable[..., Any]]:
    """A function that opens a sheet of a served page in the browser.

    Errors on the console, violated policies and requests to any other host fail the test, but those that
    match `allow`, a regular expression.
    """
    contexts: list[Any] = []
    wrong: list[str] = []

    def open_sheet(
        served: Served, path: str = "/", *, allow: str = "", wait: str = "load", **options: Any
    ) -> Any:
        context = browser.new_context(**{"viewport": {"width": 1280, "height": 900}, **options})
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(PATIENCE_MS)

        def note(said: str) -> None:
            if not (allow and re.search(allow, said)):
                wrong.append(said)

        def asked(request: Any) -> None:
            url = urllib.parse.urlsplit(request.url)
            if url.scheme not in ("data", "blob") and url.netloc != served.host:
                note(f"asked another host: {request.url}")

        def answered(dialog: Any) -> None:
            if dialog.type == "alert":  # our pages ask, but never announce
                note(f"an alert: {dialog.message}")
                dialog.dismiss()
            else:
                dialog.accept()

        page.on(
            "console",
            lambda line: note(f"{line.type}: {line.text}") if line.type in ("error", "warning") else None,
        )
        page.on("pageerror", lambda error: note(f"script: {error}"))
        page.on("request", asked)
        page.on("dialog", answered)
        if "?token=" in served.url:
            page.goto(served.url, wait_until=wait)
        if page.url != served.base + path:
            page.goto(served.base + path, wait_until=wait)
        return page

    yield open_sheet
    for context in contexts:
        context.close()
    assert not wrong, "\n".join(wrong)
