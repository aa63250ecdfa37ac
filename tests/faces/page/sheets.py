"""What do the tests of the heavy sheets share?"""

import json
import re
from dataclasses import replace
from functools import cache, partial
from html.parser import HTMLParser
from pathlib import Path
from tempfile import mkdtemp

from tests.faces.report.pictures import HOSTILE, KITCHEN, MENDED, ROOT

from falsework.lab.digest import digest_of
from falsework.model.build import load

__all__ = ["HOSTILE", "KITCHEN", "MENDED"]

LONELY = """falsework: 1
lab: Lonely
machines:
  desk-1: {is: node}
services:
  mail: desk-1
"""
"""Hardly anything: no power, no wire, no place, no store."""

_LEFT_OPEN = ("meta", "br", "img", "link", "input", "hr")


@cache
def lab(name):
    """The path of a lab: one of the examples, or a text in a file of its own."""
    if "\n" not in name:
        return ROOT / name
    path = Path(mkdtemp()) / "lab.yaml"
    path.write_text(name, encoding="utf-8")
    return path


@cache
def made(work, of, out=(), **asked):
    """What a work makes of a lab."""
    path = lab(of)
    return partial(work, **asked)(str(path), digest_of(load(path).files), out, lambda what, done, of: None)


def answered(command, asked, capsys):
    """What a command of the terminal prints with --json."""
    capsys.readouterr()
    command(replace(asked, json=True))
    return json.loads(capsys.readouterr().out)


class Read(HTMLParser):
    """Collects tags, attributes and the text that a reader sees; each end is held to the last start."""

    def __init__(self):
        super().__init__()
        self.tags, self.attributes, self.ids, self.text, self.open = set(), [], [], [], []

    def handle_starttag(self, tag, attrs):
        """Note what is opened."""
        self.tags.add(tag)
        self.attributes.extend(attrs)
        self.ids.extend(value for key, value in attrs if key == "id")
        if tag not in _LEFT_OPEN:
            self.open.append(tag)

    def handle_endtag(self, tag):
        """Hold each end to the last start."""
        assert self.open.pop() == tag

    def handle_data(self, data):
        """Note what a reader sees."""
        self.text.append(data)


def read(html):
    """A fragment, read whole."""
    found = Read()
    found.feed(html)
    found.close()
    assert found.open == []
    return found


def hold_to_the_page(html):
    """A fragment closes what it opens, runs and styles nothing by itself, repeats no id, and every anchor is there."""
    found = read(html)
    assert found.tags.isdisjoint(
        {"script", "style", "link", "iframe", "object", "embed", "base", "b", "html", "main"}
    )
    assert not [key for key, _ in found.attributes if key.startswith("on") or key == "style"]
    assert len(found.ids) == len(set(found.ids))
    anchors = [value for key, value in found.attributes if key == "href" and value.startswith("#")]
    assert {value[1:] for value in anchors} <= set(found.ids)
    assert all(
        value.startswith(("/", "#")) and not value.startswith("//")
        for key, value in found.attributes
        if key == "href"
    )
    assert "\u202e" not in html
    return found


def said(html):
    """The text of a fragment, blanks run together."""
    return re.sub(r"\s+", " ", " ".join(read(html).text))


def alike(one, other, close=1e-12):
    """Whether two answers are the same but for the last digits of their figures."""
    if isinstance(one, dict) and isinstance(other, dict):
        return one.keys() == other.keys() and all(alike(one[key], other[key], close) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(alike, one, other))
    if isinstance(one, float) and isinstance(other, float):
        return abs(one - other) <= close * max(abs(one), abs(other))
    return one == other
