"""Do the answers on chances fit their schema, whatever they say?"""

import json
import math
from dataclasses import replace

import pytest
from tests.faces.cli.typed import DRAFT, SHELF, typed
from tests.faces.handmade import cut, odds, of_singles, service
from tests.faces.report.pictures import KITCHEN, MENDED, alone, drawn_years, standing
from tests.faces.test_plain import valid

from falsework.analyses.years.story import Hit, Lost, Mishap, Story
from falsework.faces.plain_odds import odds_answer
from falsework.faces.plain_years import years_answer

pytestmark = pytest.mark.slow


@pytest.mark.parametrize("lab", [KITCHEN, MENDED])
@pytest.mark.parametrize("draws", [0, 200])
def test_odds_answer_as_their_schema_says(lab, draws):
    """Each service, weight and set of data is there once, worst first, with its figures."""
    found = of_singles(alone(lab), draws=draws)
    answer = valid(odds_answer(standing(lab), found, 0))
    assert [each["id"] for each in answer["services"]] == [each.service for each in found.services]
    assert [each["id"] for each in answer["weights"]] == [each.name for each in found.weights]
    assert answer["services"][0]["minutes"]["best"] == found.services[0].minutes.best


def test_what_has_no_end_is_null():
    """A part behind every outage has no finite risk reduction worth, and JSON knows no infinity."""
    found = odds(service("files", (cut("hub", minutes=60.0),)))
    assert found.services[0].weights[0].reduction == math.inf
    answer = valid(odds_answer(standing(KITCHEN), found, 0))
    assert answer["services"][0]["weights"][0]["risk_reduction_worth"] is None


def test_the_limit_of_an_aim_is_told():
    """A service with an `out under` has its minutes, another null."""
    answer = valid(odds_answer(standing(MENDED), of_singles(alone(MENDED)), 0))
    limits = {each["id"]: each["limit_minutes"] for each in answer["services"]}
    assert limits["mail"] == 720.0
    assert limits["files"] is None


def test_years_answer_as_their_schema_says():
    """Services, a story and what has no end; no story and no year fit, too."""
    found = drawn_years(KITCHEN)
    day = "2024-01-01T00:00:00"
    story = Story(
        percent=95.0,
        of="",
        down_min=12.0,
        mishaps=(
            Mishap(
                parts=("hub",),
                at=day,
                known_at=day,
                begun_at=day,
                whole_at=day,
                hits=(Hit(service="files", at=day, for_s=60.0, by_itself=True, stumbled=False),),
                lost=(Lost(data="letters", work_lost_s=None, restored_s=math.inf),),
            ),
        ),
        unfelt=2,
        silenced=0,
    )
    answer = valid(years_answer(standing(KITCHEN), replace(found, story=story), 0))
    assert [each["id"] for each in answer["services"]] == ["names", "files", "pages"]
    assert answer["story"]["mishaps"][0]["lost"] == [
        {"data": "letters", "work_lost_s": None, "restored_s": None}
    ]
    nothing = replace(found, services=(), years=0, stopped=True, off=None)
    assert valid(years_answer(standing(KITCHEN), nothing, 130))["story"] is None


@pytest.mark.parametrize(
    "words",
    [
        ("odds", SHELF, "--draws", "20"),
        ("odds", DRAFT, "mail"),
        ("years", SHELF, "--years", "100"),
        ("tree", "tests/faces/cli/trees/pump.dft"),
        ("tree", "tests/faces/cli/trees/pump.dft", "--time", "100"),
        ("tree", "nothing.xml"),
        ("odds", SHELF, "fils"),
    ],
    ids=" ".join,
)
def test_what_is_typed_answers_as_its_schema_says(words):
    """True answers, and errors, are one object that the schema takes."""
    said = typed(*words, "--json")
    assert valid(json.loads(said.out))["status"] == said.status
