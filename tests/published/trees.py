"""Fault trees of the open data sets, with the figures that come with them."""

from __future__ import annotations

import csv
import os
from pathlib import Path

import pytest

from falsework.engines.trees.read import read

OPEN_DATA = Path(os.environ.get("FALSEWORK_OPEN_DATA") or Path(__file__).parents[3] / "shared" / "data")
ABSENT = "the open data sets are not here: set FALSEWORK_OPEN_DATA to the folder that holds aralia/"


def figures(data_set, table="answers"):
    """{instance: {quantity: value}} of a data set; nothing where it is absent."""
    path = OPEN_DATA / data_set / f"{table}.csv"
    found = {}
    if path.exists():
        with path.open(newline="", encoding="utf-8") as rows:
            for row in csv.DictReader(rows):
                found.setdefault(row["instance"], {})[row["quantity"]] = row["value"]
    return found


def open_path(data_set, instance):
    """The file of an instance; skips the test where it is absent."""
    folder = OPEN_DATA / data_set / ("trees" if data_set == "aralia" else "")
    for suffix in (".xml", ".dft"):
        path = folder / f"{instance}{suffix}"
        if path.exists():
            return path
    return pytest.skip(ABSENT)


def open_tree(data_set, instance, *, time=None):
    """A tree and its published figures."""
    return read(open_path(data_set, instance), time=time), figures(data_set).get(instance, {})
