"""Labs of a few parts for the tests of drills."""

from __future__ import annotations

from tests.strategies import lab_of

from falsework.support.standing import Standing

PAIR = """
falsework: 1
lab: A pair
power: {A: {is: strip}, B: {is: strip}}
machines:
  one: {is: node, fed by: A}
  two: {is: node, fed by: B}
  far: node
services:
  mail: {on: [one, two], takes over: 40 s}
  web:  {on: [one, two]}
  log:  far
aims:
  any box: {lose: node, at most: blinks, of: [mail, web]}
"""

BOXES = """
falsework: 1
lab: Boxes
machines:
  twin: {is: enclosure, holds: {a..b: node}}
  other: {is: enclosure, holds: {a..b: node}}
services:
  votes: {on: [twin.a, other.a, other.b], serves: majority}
  files: {on: [twin.a, twin.b, other.a], serves: any}
aims:
  any box: {lose: [node, enclosure], at most: stands, of: files}
"""

STORED = """
falsework: 1
lab: Stored
outside: {far: elsewhere}
machines:
  nas: {is: node, drives: 2 drive}
stores:
  disks: {drives: nas.d*, layout: mirror}
services:
  files: {on: nas, state in: disks}
data:
  shares: {of: files, in: disks, size: 1 TB, backed up: {to: far, every: 1 day}}
"""


def standing(text, *, out=(), more=""):
    """A lab ready to be asked."""
    return Standing(lab_of(text + more), out=out)
