"""Does the page of formulas name every function that states one, and only such as there are?"""

from __future__ import annotations

import importlib
import inspect
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[3]
PAGE = ROOT / "docs" / "explanation" / "formulas.md"
TEXT = PAGE.read_text(encoding="utf-8")
PACKAGE = ROOT / "src" / "falsework" / "engines" / "reliability"
# Not formulas: what may be asked, and the door to special functions.
ASIDE = ("__init__", "chained", "checked", "functions")
MODULES = sorted(path.stem for path in PACKAGE.glob("*.py") if path.stem not in ASIDE)


def section(module):
    """The part of the page that begins with the module's link."""
    found = TEXT.index(f"[`{module}.py`]")
    end = TEXT.find("\n## ", found)
    return TEXT[found : end if end > 0 else None]


@pytest.mark.parametrize("module", MODULES)
def test_every_public_function_stands_on_the_page(module):
    """A formula without a place on the page has no source that a reader can find."""
    loaded = importlib.import_module(f"falsework.engines.reliability.{module}")
    public = [
        name
        for name, thing in vars(loaded).items()
        if inspect.isfunction(thing) and thing.__module__ == loaded.__name__ and not name.startswith("_")
    ]
    assert public
    assert [name for name in public if f"`{name}`" not in section(module)] == []


def test_every_name_in_a_table_is_a_function():
    """What a table of the page names can be called."""
    known = {}
    for module in MODULES:
        known |= vars(importlib.import_module(f"falsework.engines.reliability.{module}"))
    rows = [line for line in TEXT.splitlines() if line.startswith("| `")]
    names = [name for row in rows for name in re.findall(r"`([a-zA-Z_0-9.]+)`", row)]
    assert len(names) > 50
    assert [name for name in names if name.split(".")[0] not in known] == []


def test_every_link_leads_somewhere():
    """Each link of the page is a file or folder that there is."""
    links = re.findall(r"\]\(([^)]+)\)", TEXT)
    assert links
    assert [link for link in links if not (PAGE.parent / link).exists()] == []
