"""Does the page give collectors their figures, and people the reports of runs?"""

import json
import sqlite3
from contextlib import closing

import pytest
from tests.faces.cli.records.keeping import drilled, kept
from tests.faces.page.asking import client, page_for
from tests.faces.test_openmetrics import parsed

from falsework.model.build import load
from falsework.record.keeping import NewRun, Recorder, record_of
from falsework.record.seen import Seen, Told
from falsework.support.probing import questions

pytestmark = pytest.mark.slow


@pytest.fixture
def lab(tmp_path):
    """A lab with a record of three runs."""
    return kept(tmp_path)


def test_metrics_are_those_of_the_record(lab):
    """The media type is the standard's, the text of its grammar; a new run is told at the next asking."""
    asks = client(page_for(lab))
    answer = asks.get("/metrics")
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "application/openmetrics-text; version=1.0.0; charset=utf-8"
    told = parsed(answer.text)
    assert told["falsework_runs"]["samples"] == {(): 3}
    assert told["falsework_stopwatch_running"]["samples"] == {(): 0}
    assert asks.get("/metrics").text == answer.text
    drilled(lab, 6, {}, back_s=90.0)
    assert parsed(asks.get("/metrics").text)["falsework_runs"]["samples"] == {(): 4}


def test_metrics_without_a_record(lab):
    """The margins are told, and no file is made."""
    lab.with_suffix(".record").unlink()
    told = parsed(client(page_for(lab)).get("/metrics").text)
    assert told["falsework_runs"]["samples"] == {(): 0}
    assert told["falsework_service_margin"]["samples"][(("service", "door"),)] == 2
    assert not lab.with_suffix(".record").exists()


def test_reports_are_there_to_take_home(lab):
    """As a page, as JSON, and on paper; a run or a form that is not there is a plain error."""
    asks = client(page_for(lab))
    page = asks.get("/record/run-2.html")
    assert page.status_code == 200
    assert "attachment" in page.headers["content-disposition"]
    assert "did not come back though it should" in page.text
    assert json.loads(asks.get("/record/run-2.json").text)["run"]["number"] == 2
    assert asks.get("/record/run-2.pdf").content.startswith(b"%PDF-")
    for name in ("run-9.html", "run-2.doc", "rock.record"):
        assert asks.get(f"/record/{name}").status_code == 400


def test_a_run_that_was_killed_does_not_go_on_with_the_next(lab):
    """While the fourth run is being written, the second says where it stops, and only the fourth that it goes on."""
    asks = client(page_for(lab))
    taker = Recorder(record_of(lab), NewRun(lab="Small Rock", began=1.7e9), questions(load(lab)))
    with closing(sqlite3.connect(record_of(lab))) as file, file:
        file.execute("UPDATE run SET ended = 0 WHERE number = 2")
    killed, now = (json.loads(asks.get(f"/record/run-{number}.json").text)["run"] for number in (2, 4))
    page = asks.get("/record/run-2.html").text
    taker.end()
    assert (killed["ended"], killed["runs"], now["runs"]) == (False, False, True)
    assert "The record stops" in page


def test_a_run_that_goes_on_is_told_as_it_is_now(lab):
    """Between two askings a probe goes out: the second says so, though no run was begun or ended."""
    asks = client(page_for(lab))
    run = NewRun(lab="Small Rock", began=1.7e9)
    taker = Recorder(record_of(lab), run, questions(load(lab)))
    taker.answers([Seen(number, 1.0, 1.002, Told.YES) for number in range(3)])
    first = parsed(asks.get("/metrics").text)
    taker.answers([Seen(1, 2.0, 2.002, Told.NO)])
    taker.beat(4.0, 1.7e9 + 4)
    second = parsed(asks.get("/metrics").text)
    taker.end()
    post = (("probe", "post"), ("sees", "mail"))
    assert first["falsework_stopwatch_running"]["samples"] == {(): 1}
    assert [told["falsework_probe_answered"]["samples"][post] for told in (first, second)] == [1, 0]
    grown = [told["falsework_probe_out_seconds"]["samples"][post] for told in (first, second)]
    assert grown[1] - grown[0] == pytest.approx(2.5)
