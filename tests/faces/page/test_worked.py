"""Do the heavy sheets show what is being worked out, what was known before, the result, and what can be taken home?"""

import datetime
import json

import pytest
from tests.faces.cli.test_placing import LAB
from tests.faces.page.asking import AtOnce, client, page_for
from tests.faces.page.sheets import HOSTILE, KITCHEN, lab, read

from falsework.faces.page.jobs import Jobs
from falsework.faces.page.kept import Keeper
from falsework.faces.page.page import Page

SHEETS = ("/year", "/build", "/places", "/hardware")
QUESTIONS = (
    *SHEETS,
    "/year?years=20",
    "/places?search=5",
    "/build?from=today",
    "/build?from=nothing&begins=2026-12-04",
)


class Never(Jobs):
    """Begins all work and ends none."""

    def _start(self, job):
        job.since = datetime.datetime(2026, 12, 4, 14, 3, 5, tzinfo=datetime.UTC)
        self._progress(job, "counting <sheep>", 3, 7)


class Turning(AtOnce):
    """Does all work at once until told to end none any more."""

    def _start(self, job):
        if self.never:
            Never._start(self, job)
        else:
            super()._start(job)

    never = False


def asked(of, address, jobs=None):
    """What a page says."""
    keeper = Keeper(lab(of), ())
    keeper.read()
    return client(Page(keeper=keeper, token="t", jobs=jobs or AtOnce())).get(address)


@pytest.mark.parametrize("of", [KITCHEN, HOSTILE])
@pytest.mark.parametrize("address", QUESTIONS)
def test_every_sheet_shows_its_result(of, address):
    """Each sheet is whole, harmless and done once its jobs are; no id is there twice."""
    found = asked(of, address)
    assert found.status_code == 200
    told = read(found.text)
    assert found.text.count("data-working") == 1  # the verdict in the title block
    assert len(told.ids) == len(set(told.ids))
    assert "<script>alert" not in found.text
    assert not [key for key, _ in told.attributes if key.startswith("on") or key == "style"]


@pytest.mark.parametrize("address", SHEETS)
def test_work_that_goes_on_is_told(address):
    """A sheet says what is being worked out, how far, since when, and offers to stop it."""
    found = asked(KITCHEN, address, Never())
    assert "counting &lt;sheep&gt;" in found.text
    assert "3 of 7" in found.text
    assert "14:03:05" in found.text
    told = read(found.text)
    keys = {value for key, value in told.attributes if key == "data-stop"}
    assert keys
    assert keys == {value for key, value in told.attributes if key == "data-key"}


@pytest.mark.slow
@pytest.mark.parametrize("address", SHEETS)
def test_what_was_known_before_stays(address, tmp_path):
    """While the file's new state is being worked out, the sheet shows what the old one gave, and says so."""
    path = tmp_path / "lab.yaml"
    path.write_bytes(lab(KITCHEN).read_bytes())
    page = page_for(path)
    page.jobs = jobs = Turning()
    before = client(page).get(address).text
    path.write_text(path.read_text() + "\n# more\n")
    assert page.keeper.read()
    jobs.renew(page.keeper.good.digest)
    jobs.never = True
    after = client(page).get(address).text
    assert "From the file as it was at" not in before
    assert "From the file as it was at" in after
    assert "counting &lt;sheep&gt;" in after
    assert before.count("<table") == after.count("<table")


@pytest.mark.parametrize(
    ("address", "begins_with"),
    [
        ("/hardware/cables.csv", b"label,"),
        ("/hardware/power.svg", b"<svg"),
        ("/year/odds.svg", b"<svg"),
        ("/year/years.svg?years=20", b"<svg"),
        ("/build/runbook.md?from=nothing", b"# "),
        ("/build/runbook.pdf?from=nothing", b"%PDF"),
        ("/build/calendar.ics?from=nothing", b"BEGIN:VCALENDAR"),
        ("/build/cold-start.md", b"# "),
        ("/build/build.svg?from=nothing", b"<svg"),
    ],
)
def test_what_can_be_taken_home_is_sent_as_a_file(address, begins_with):
    """Each download comes with its name, its kind and its content."""
    found = asked(KITCHEN, address)
    assert found.status_code == 200
    assert found.content.startswith(begins_with)
    name = address.partition("?")[0].rpartition("/")[2]
    assert found.headers["content-disposition"] == f'attachment; filename="{name}"'


@pytest.mark.parametrize(
    "address",
    [
        "/hardware/nothing.csv",
        "/year/nothing.svg",
        "/build/letter.pdf",
        "/build/runbook.pdf?from=today",
        "/build/runbook.md?begins=tomorrow",
        "/places/change.json?search=5",
        "/year/years.svg?years=none",
        "/answers/years?years=0",
        "/answers/place?search=99999",
    ],
)
def test_what_is_not_there_is_refused(address):
    """Wrong names and wrong figures are told, not served."""
    assert asked(KITCHEN, address).status_code == 400


@pytest.mark.parametrize(
    ("address", "said"),
    [("/year?years=-3", "number of years"), ("/places?search=x", "no time"), ("/build?begins=x", "no day")],
)
def test_a_wrong_figure_is_told_on_the_sheet(address, said):
    """The sheet stays, and says what is wrong with the question."""
    found = asked(KITCHEN, address)
    assert found.status_code == 400
    assert said in found.text
    assert "<h1>" in found.text


@pytest.mark.slow
@pytest.mark.parametrize(
    "command",
    [
        "odds",
        "years",
        "raise",
        "loops",
        "cold-start",
        "shutdown",
        "rebuild",
        "room",
        "place",
        "rack",
        "power",
        "wire",
        "noise",
    ],
)
def test_programs_get_the_answer_of_each_command(command):
    """Each heavy command has its address, and its answer says whose it is."""
    found = asked(KITCHEN, f"/answers/{command}?years=20&search=5")
    assert found.status_code == 200
    assert found.json()["command"] == command
    assert asked(KITCHEN, f"/answers/{command}", Never()).status_code == 202


@pytest.mark.parametrize("command", ["drives", "addresses"])
def test_a_command_that_has_no_answer_says_why(command):
    """What the command refuses, the page refuses too, with the same words."""
    found = asked(KITCHEN, f"/answers/{command}")
    assert found.status_code == 400
    assert found.json()["errors"]


def test_years_are_drawn_only_when_asked_for():
    """The sheet of the year begins no years of its own."""
    assert "A bad year" not in asked(KITCHEN, "/year").text
    assert "A bad year" in asked(KITCHEN, "/year?years=50").text


def test_places_are_written_into_the_file(tmp_path):
    """What was shown is written and nothing else; the comments of the file stay."""
    path = tmp_path / "lab.yaml"
    path.write_text(LAB)
    page = page_for(path)
    shown = client(page).get("/places?search=5")
    assert "Write it into the file" in shown.text
    done = client(page).post("/places/write?search=5")
    assert done.status_code == 303
    text = path.read_text()
    assert text != LAB
    assert "# Both on one desk since the move." in text
    other = [line for line in text.splitlines() if line not in LAB.splitlines()]
    assert other
    assert all(
        "placed" in line or line.strip() in ("notes:", "on: shelf   # small", "on: shelf") for line in other
    ), other


def test_places_are_not_written_over_a_newer_file(tmp_path):
    """Where somebody saved meanwhile, the file stays as it is."""
    path = tmp_path / "lab.yaml"
    path.write_text(LAB)
    page = page_for(path)
    client(page).get("/places?search=5")
    path.write_text(LAB + "# newer\n")
    assert client(page).post("/places/write?search=5").status_code == 400
    assert path.read_text() == LAB + "# newer\n"


def test_what_was_never_searched_is_not_written(tmp_path):
    """A write without a search before it changes nothing."""
    path = tmp_path / "lab.yaml"
    path.write_text(LAB)
    assert client(page_for(path)).post("/places/write?search=7").status_code == 400
    assert path.read_text() == LAB


@pytest.mark.parametrize("address", SHEETS)
def test_a_lab_that_cannot_be_read_has_sheets_too(address, tmp_path):
    """Without a lab a sheet says so and works nothing out."""
    path = tmp_path / "lab.yaml"
    path.write_text("falsework: 1\nmachines: {desk: {is: teapot}}\n")
    page = page_for(path)
    found = client(page).get(address)
    assert found.status_code == 200
    assert "can&#39;t be read yet" in found.text or "can't be read yet" in found.text


def test_the_state_of_what_is_pulled_goes_along():
    """Forms, links and downloads of a sheet keep the parts that are out."""
    found = read(asked(KITCHEN, "/year?out=desk-1").text)
    assert ("value", "desk-1") in found.attributes
    links = [value for key, value in found.attributes if key == "href"]
    assert "/year/odds.svg?out=desk-1" in links
    assert json.loads(asked(KITCHEN, "/answers/odds?out=desk-1").text)["out"] == ["desk-1"]


def test_what_was_out_beforehand_is_no_plug_of_the_sheet():
    """Parts that the page was begun without count, but its links do not pull them again."""
    page = page_for(lab(KITCHEN), ("desk-1",))
    assert client(page).get("/answers/odds").json()["out"] == ["desk-1"]
    found = read(client(page).get("/year?out=desk-2").text)
    links = [value for key, value in found.attributes if key == "href"]
    assert "/year/odds.svg?out=desk-2" in links
    assert not [link for link in links if "desk-1" in link and "look=desk-1" not in link]


def test_a_part_that_is_not_known_is_told():
    """A name in the address that the lab lacks is told in place of a result."""
    found = asked(KITCHEN, "/hardware?out=nothing-like-it")
    assert 'class="trouble"' in found.text
    assert (
        "nothing-like-it"
        in read(found.text.partition('class="trouble"')[2].partition("</div>")[0].partition(">")[2]).text[0]
    )
