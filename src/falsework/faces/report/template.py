"""Which templates make the pages that need nothing else?"""

from __future__ import annotations

from functools import cache
from importlib import resources

from jinja2 import Environment, FunctionLoader, Template
from markupsafe import Markup

from falsework.faces.report.reasons import steps
from falsework.faces.report.svg import clean


@cache
def template(name: str) -> Template:
    """A template of this folder; text that it prints is cleaned and escaped."""
    environment = Environment(
        loader=FunctionLoader(_source),
        autoescape=True,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_cleaned,
    )
    environment.filters["steps"] = steps
    return environment.get_template(name)


def _cleaned(value: object) -> object:
    """What a template may print: text of a lab cleaned, finished markup as it is."""
    return value if isinstance(value, Markup) or not isinstance(value, str) else clean(value)


def _source(name: str) -> str:
    return resources.files("falsework.faces.report").joinpath("templates", name).read_text(encoding="utf-8")
