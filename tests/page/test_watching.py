import asyncio
import os
import shutil

import pytest

from falsework.faces.page import watching
from falsework.faces.page.watching import seen, watch


def in_place(file):
    """Write over the text, as simple editors do."""
    file.write_text("lab: Second", encoding="utf-8")


def by_rename(file):
    """Write beside and rename over it, as careful editors do."""
    beside = file.with_name(".new")
    beside.write_text("lab: Second", encoding="utf-8")
    beside.replace(file)


def with_backup(file):
    """Move the old away first and write a new file, as editors that keep backups do."""
    file.rename(file.with_name("lab.yaml~"))
    file.write_text("lab: Second", encoding="utf-8")


def deleted(file):
    """Take it away."""
    file.unlink()


class Watched:
    """A watch that is going on, and the texts that were there whenever it called."""

    def __init__(self, path, file=None, **options):
        self.file = file or path
        self.stop = asyncio.Event()
        self.calls = asyncio.Queue()
        self.task = asyncio.ensure_future(watch(path, self.call, stop=self.stop, known=seen(path), **options))

    async def call(self):
        """Note what is there now."""
        there = self.file.exists()
        self.calls.put_nowait(self.file.read_text(encoding="utf-8") if there else None)

    async def until(self, text):
        """Wait until this text was seen."""
        while await self.calls.get() != text:
            pass

    async def end(self):
        """Stop, and wait for the end."""
        self.stop.set()
        await self.task


def run(work):
    """Run a coroutine function, for five minutes at the most."""
    return asyncio.run(asyncio.wait_for(work(), 300))


@pytest.fixture
def file(tmp_path):
    """A file in a folder of its own."""
    folder = tmp_path / "lab"
    folder.mkdir()
    made = folder / "lab.yaml"
    made.write_text("lab: First", encoding="utf-8")
    return made


@pytest.fixture(params=["told", "not told"])
def notifications(request, monkeypatch):
    """Whether the system tells of changes, or one has to look."""
    if request.param == "not told":
        import watchfiles

        def refused(*paths, **options):
            raise OSError("no space left for watches")

        monkeypatch.setattr(watchfiles, "awatch", refused)


@pytest.mark.parametrize("save", [in_place, by_rename, with_backup])
@pytest.mark.usefixtures("notifications")
def test_every_way_to_save_is_noticed_again_and_again(file, save):
    """However an editor saves, the watch sees this save and the one after it."""

    async def work():
        watched = Watched(file, look_s=0.1)
        save(file)
        await watched.until("lab: Second")
        file.write_text("lab: Third", encoding="utf-8")
        await watched.until("lab: Third")
        await watched.end()

    run(work)


@pytest.mark.usefixtures("notifications")
def test_a_file_that_goes_and_comes_back_is_noticed_both_times(file):
    """A file that is deleted is told of, and so is its return."""

    async def work():
        watched = Watched(file, look_s=0.1)
        deleted(file)
        await watched.until(None)
        in_place(file)
        await watched.until("lab: Second")
        await watched.end()

    run(work)


@pytest.mark.usefixtures("notifications")
def test_a_folder_that_is_replaced_is_watched_anew(file):
    """When the folder itself goes and another comes in its place, the watch goes on in that one."""

    async def work():
        watched = Watched(file, look_s=0.1)
        shutil.rmtree(file.parent)
        await watched.until(None)
        file.parent.mkdir()
        in_place(file)
        await watched.until("lab: Second")
        by_rename(file)
        file.write_text("lab: Third", encoding="utf-8")
        await watched.until("lab: Third")
        await watched.end()

    run(work)


@pytest.mark.usefixtures("notifications")
def test_a_link_is_watched_where_it_leads_and_when_it_leads_elsewhere(file, tmp_path):
    """What a link names is watched, and a link that is set anew too."""
    link = tmp_path / "elsewhere" / "link.yaml"
    link.parent.mkdir()
    link.symlink_to(file)
    other = tmp_path / "other.yaml"
    other.write_text("lab: Other", encoding="utf-8")

    async def work():
        watched = Watched(link, look_s=0.1)
        in_place(file)
        await watched.until("lab: Second")
        fresh = link.with_name("fresh")
        fresh.symlink_to(other)
        os.replace(fresh, link)  # noqa: PTH105 - a link itself is moved
        await watched.until("lab: Other")
        other.write_text("lab: Third", encoding="utf-8")
        await watched.until("lab: Third")
        await watched.end()

    run(work)


@pytest.mark.usefixtures("notifications")
def test_every_lab_file_of_a_folder_is_watched_and_nothing_else(file):
    """In a folder new, changed and deleted lab files are told of; hidden and other files are not."""
    below = file.parent / "more" / "wire.yaml"

    async def work():
        watched = Watched(file.parent, below, look_s=0.1)
        (file.parent / ".hidden.yaml").write_text("x", encoding="utf-8")
        (file.parent / "notes.txt").write_text("x", encoding="utf-8")
        below.parent.mkdir()
        below.write_text("wire: 1", encoding="utf-8")
        await watched.until("wire: 1")
        below.write_text("wire: 22", encoding="utf-8")
        await watched.until("wire: 22")
        below.unlink()
        await watched.until(None)
        await watched.end()

    before = seen(file.parent)
    (file.parent / "notes.txt").write_text("y", encoding="utf-8")
    (file.parent / ".hidden.yaml").write_text("y", encoding="utf-8")
    assert seen(file.parent) == before
    run(work)


def test_what_changed_between_reading_and_watching_is_told(file):
    """A save that comes before the watch has begun is not missed."""

    async def work():
        known = seen(file)
        in_place(file)
        called, stop = asyncio.Event(), asyncio.Event()

        async def call():
            called.set()

        task = asyncio.ensure_future(watch(file, call, stop=stop, known=known))
        await called.wait()
        stop.set()
        await task

    run(work)


def test_other_files_beside_the_lab_call_nobody(file):
    """Whatever else happens in the folder of a lab file is not told."""

    async def work():
        watched = Watched(file, look_s=0.05)
        for number in range(20):
            (file.parent / f"{number}.txt").write_text("x", encoding="utf-8")
        in_place(file)
        await watched.until("lab: Second")
        await watched.end()
        return watched.calls.qsize()

    assert run(work) == 0


def test_links_that_lead_in_a_circle_end(tmp_path):
    """A link to itself is looked at without end, error or file."""
    link = tmp_path / "round.yaml"
    link.symlink_to(link)
    assert seen(link).files == ()
    assert watching.seen(tmp_path / "nowhere" / "lab.yaml").files == ()
