"""The published schema: it takes what the reader takes, and refuses unknown keys as the reader does."""

import copy
import datetime
import json
import re
from pathlib import Path

import jsonschema
import pytest
from ruamel.yaml import YAML
from tests.model.texts import lab_of, told

from falsework.model.declare import declared, definition, reachable
from falsework.model.schema import schema
from falsework.model.sections import CABLES, RECORDS, SPARES

ROOT = Path(__file__).parents[2]
TRAPS = [each for each in (ROOT / "tests" / "labs").rglob("*.yaml") if each.name != "expect.yaml"]
EXAMPLES = sorted([*(ROOT / "examples").rglob("*.yaml"), *TRAPS])
CHECK = jsonschema.Draft202012Validator(schema())


def plain(value):
    """Plain data as an editor sees it: dates stay the text that was written."""
    if isinstance(value, dict):
        return {str(key): plain(each) for key, each in value.items()}
    if isinstance(value, list):
        return [plain(each) for each in value]
    return value.isoformat() if isinstance(value, datetime.date) else value


def data(text):
    """A text as plain data."""
    return plain(YAML(typ="safe", pure=True).load(text))


def example(path):
    """An example as plain data."""
    return data(path.read_text(encoding="utf-8"))


def test_the_schema_is_one():
    """It is valid JSON Schema, draft 2020-12, and plain JSON."""
    jsonschema.Draft202012Validator.check_schema(schema())
    assert json.loads(json.dumps(schema())) == schema()


def test_every_reference_in_the_schema_leads_somewhere():
    """Each $ref names a definition, and each record has one."""
    whole = schema()
    named = set(re.findall(r'"#/\$defs/([^"]+)"', json.dumps(whole)))
    assert named <= set(whole["$defs"])
    every = reachable((*RECORDS, *CABLES.records(), *SPARES.records()))
    assert {definition(record) for record in every} <= set(whole["$defs"])


def test_every_key_is_in_the_schema():
    """Each declared key of each record is a property, told in words."""
    whole = schema()
    for record in reachable(RECORDS):
        properties = whole["$defs"][definition(record)]["properties"]
        for name, key in declared(record).items():
            assert properties[name]["description"].startswith(key.meaning)


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: f"{path.parent.name}/{path.stem}")
def test_every_example_fits(path):
    """What the reader loads the schema takes."""
    assert [error.message for error in CHECK.iter_errors(example(path))] == []


def mappings(value, way=()):
    """The way to every mapping in plain data."""
    if isinstance(value, dict):
        yield way
        for key, each in value.items():
            yield from mappings(each, (*way, key))
    elif isinstance(value, list):
        for number, each in enumerate(value):
            yield from mappings(each, (*way, number))


FREE = ("kinds", "outside", "places", "power", "machines", "networks", "stores", "pools", "services", "data")
FREE += (
    "keys",
    "people",
    "alarms",
    "probes",
    "drills",
    "spares",
    "stand-ins",
    "aims",
    "ports",
    "cards",
    "drives",
    "holds",
    "runs",
)


@pytest.mark.parametrize("path", sorted((ROOT / "examples").rglob("*.yaml")), ids=lambda path: path.stem)
@pytest.mark.slow
def test_an_unknown_key_does_not_fit_anywhere(path):
    """A key that nobody declared, put into any mapping with declared keys, makes an example unfit."""
    whole = example(path)
    # One mapping of each section and depth is enough: its fellows are held by the same definition.
    ways = {(way[:1], len(way)): way for way in mappings(whole) if not way or way[-1] not in FREE}.values()
    assert len(ways) > 5
    for way in ways:
        changed = copy.deepcopy(whole)
        at = changed
        for step in way:
            at = at[step]
        at["no such key"] = 1
        assert not CHECK.is_valid(changed), way


@pytest.mark.parametrize(
    "text",
    [
        "machines: {n: node}",
        "machines: {n: {is: node, ports: 8}, m: {is: switch, ports: {a..b: 1 Gb/s}}}",
        "machines: {n: {is: node, drives: {d1: {size: 1 TB}}}}",
        "kinds: {hd: {is: drive}}\nmachines: {n: {is: node, drives: [2 hd, 1 hd]}}",
        "outside: {mains: , sun: the sky}",
        "machines: {n: node}\nservices: {a: n, b: [n], c: {on: n, needs: a}, d: {on: n, needs: [a, {of: b}]}}",
        "machines: {n: node}\nservices: {a: n, b: {on: n, needs: {to run: [a for 30 s], to start: {of: a}}}}",
        "power: {u: {is: ups, runs: {300 W: 22 min, 600 W: 9 min}}}",
        "kinds: {hd: {is: drive}}\nspares: {hd: 2}",
        "machines: {n-1..2: node, hub: switch}\nwire: {cables: n-* -- hub, networks: {house: 10.0.0.0/24}}",
        "machines: {n: {is: node, draws: 18..65 W, wakes in: 1 min 30 s, made: 2019, proved: 2026-05-31}}",
        "machines:\nservices:\naims:\n",
    ],
)
def test_short_forms_fit(text):
    """Each short form that the reader takes the schema takes too."""
    lab_of(text)
    assert [error.message for error in CHECK.iter_errors(data(f"lab: t\n{text}"))] == []


@pytest.mark.parametrize(
    "text",
    [
        "machines: {n: {is: nod}}",
        "machines: {n: {cores: 4}}",
        "machines: {n: {is: node, cores: many}}",
        "machines: {n: {is: node, cores: 0}}",
        "machines: {n: {is: node, memory: 16}}",
        "machines: {n: {is: node, memory: 16 GHz}}",
        "machines: {n: {is: node, power back: never}}",
        "machines: {n: {is: node, hands: perhaps}}",
        "machines: {n: {is: circuit}}",
        "machines: {n: {is: node, outlets: 3}}",
        "machines: {'a,b': node}",
        "services: {a: {needs: [b]}}",
        "stores: {s: {drives: a}}",
        "wire: {cable: a}",
        "falsework: 2",
        "power: {u: {is: ups, runs: {300 s: 22 min}}}",
        "aims: {a: {at most: dies}}",
    ],
)
def test_what_the_reader_refuses_by_form_the_schema_refuses(text):
    """A misfit that can be seen without knowing the rest of the lab does not fit the schema."""
    assert told(text)
    assert not CHECK.is_valid(data(f"lab: t\n{text}"))


def test_a_lab_needs_a_name():
    """A file without a name is no lab."""
    assert not CHECK.is_valid({"machines": {}})
