"""Labs as text, for tests: what they read to, and what is said of them."""

from textwrap import dedent

import pytest

from falsework.errors import FaultList, LabError
from falsework.lab.read import read_text
from falsework.model.build import build
from falsework.model.declare import Misread, Say
from falsework.model.lab import Lab
from falsework.model.parts import ThingId


def lab_of(text: str) -> Lab:
    """The lab in a text, which need not name it."""
    whole = dedent(text).lstrip("\n")
    return build(read_text(whole if "lab:" in whole else f"lab: t\n{whole}", "lab.yaml"))


def thing(text: str, name: str):
    """One thing of the lab in a text."""
    return lab_of(text).things[ThingId(name)]


def told(text: str) -> list[str]:
    """Everything that is said to be wrong with a text, as people read it."""
    with pytest.raises(LabError) as caught:
        lab_of(text)
    return str(caught.value).splitlines()


def node(text: str):
    """The value in a text, in the fourth column of the first line."""
    return read_text(f"k: {text}", "lab.yaml").root.entries[0].value


def read(form, text: str):
    """What a form reads in a text."""
    return form.read(node(text), Say(FaultList()))


def refused(form, text: str) -> list[str]:
    """What a form says of a text that it can't read."""
    faults = FaultList()
    with pytest.raises(Misread):
        form.read(node(text), Say(faults, "k"))
    return [str(fault) for fault in faults.faults]
