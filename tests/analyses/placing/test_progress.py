from __future__ import annotations

from tests.strategies import lab_of

from falsework.analyses.placing import place_lab
from falsework.support.standing import Standing

LAB = """
falsework: 1
lab: One has to go
machines: {h-1..4: {is: node, memory: 16 GiB}}
pools: {cluster: {hosts: h-*}}
services:
  mail:  {on: cluster, copies: 2, apart: not, takes: {memory: 4 GiB}, placed: [h-1, h-1]}
  files: {on: cluster, copies: 4, takes: {memory: 6 GiB}, placed: [h-1, h-2, h-3, h-4]}
aims: {one less: {lose: node, of: mail, at most: thin}}
"""


EITHER = """
falsework: 1
lab: One of two does
machines: {h-1..4: {is: node, memory: 16 GiB}}
pools: {cluster: {hosts: h-*}}
services:
  left:  {on: cluster, takes: {memory: 4 GiB}, placed: h-1}
  right: {on: cluster, takes: {memory: 4 GiB}, placed: h-1}
  web:   {on: [h-3, h-4], needs: [{of: [left, right], enough: 1}]}
aims: {one less: {lose: node, of: web, at most: thin}}
"""


def test_who_waits_hears_what_is_done_and_how_good_the_best_so_far_is():
    """First that it looks for a placement, then the best and its bound beside the seconds, then the judging."""
    said: list[tuple[str, int, int]] = []
    place_lab(
        Standing(lab_of(LAB)),
        seconds=20.0,
        workers=1,
        progress=lambda what, done, of: said.append((what, done, of)),
    )
    words = [what for what, _, _ in said]
    best = [each for each in said if each[0].startswith("looking for a placement: ")]
    assert best
    assert all(0 <= done <= of == 20 for _, done, of in best)
    first = words.index(best[0][0])
    assert "looking for a placement" in words[:first]
    assert any(word.startswith("judging") for word in words[first:])


def test_who_has_had_enough_gets_the_best_so_far():
    """The aim takes a second round to be met; who stops in the first gets its placement."""
    standing = Standing(lab_of(EITHER))
    whole = place_lab(standing, seconds=20.0, workers=1)
    assert whole.rounds > 1
    assert not whole.broken
    found = place_lab(standing, seconds=20.0, workers=1, stopped=lambda: True)
    assert found.rounds == 1
    assert set(found.host_of) == {"left.1", "right.1"}
