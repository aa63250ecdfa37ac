"""Does a page learn what leans on what of a drawing?"""

import json
import re

from tests.faces.report.pictures import MENDED, standing

from falsework.faces.report.elevation import elevation
from falsework.faces.report.hover import hover_answer
from falsework.faces.report.spots import Spots


def test_each_group_of_a_drawing_is_told_once():
    """The ids are the drawing's own, and a service leads through its machine to the mains and back."""
    spots = Spots()
    text = elevation(standing(MENDED), spots=spots)
    answer = json.loads(json.dumps(hover_answer(standing(MENDED), tuple(spots.groups))))
    assert set(answer["ids"]) == set(re.findall(r'data-id="([^"]*)"', text))
    assert len(answer["ids"]) == len(set(answer["ids"])) == len(answer["on"]) == len(answer["by"])
    at = {name: number for number, name in enumerate(answer["ids"])}
    assert at["photos.1"] in answer["on"][at["photos"]]
    assert at["photos"] in answer["by"][at["photos.1"]]
    seen, waiting = set(), [at["photos"]]
    while waiting:
        here = waiting.pop()
        fresh = [each for each in answer["on"][here] if each not in seen]
        seen.update(fresh)
        waiting.extend(fresh)
    assert {at["mains"], at["sw-1"], at["files"]} <= seen
    assert at["print"] not in seen
