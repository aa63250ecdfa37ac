"""Which colours does the page draw with, by day, in the dark and in print?"""

from __future__ import annotations

from importlib import resources

from falsework.faces.report.svg import COLOURS, DARK, FONT


def ink_sheet() -> str:
    """A style sheet with a custom property for each role, a rule for each class of a drawing, and those of results.

    The browser's wish for dark counts unless `data-paper` on the root element says otherwise.
    """
    day = "".join(f"--{role}:{value};" for role, value in COLOURS.items())
    night = "".join(f"--{role}:{value};" for role, value in DARK.items())
    rules = "".join(f".f-{role}{{fill:var(--{role})}}.s-{role}{{stroke:var(--{role})}}" for role in COLOURS)
    return (
        f":root{{{day}--face:{FONT};color-scheme:light}}\n"
        f"@media screen and (prefers-color-scheme:dark){{:root:not([data-paper=day]){{{night}color-scheme:dark}}}}\n"
        f"@media screen{{:root[data-paper=night]{{{night}color-scheme:dark}}}}\n"
        f"{rules}\n@media print{{.f-paper{{fill:#fff}}.s-paper{{stroke:#fff}}}}\n{_results()}"
    )


def _results() -> str:
    """How results are set, as in the report."""
    return resources.files("falsework.faces.report").joinpath("templates", "sheet.css").read_text("utf-8")
