"""What falls in a small private cloud when a part of it fails?

One way down, and imports point only up it:

    lab file        what the owner wrote, in YAML
    lab/            text -> a tree that knows its lines
    model/          tree -> a frozen, typed Lab
    support/        Lab -> what leans on what: all of, any of, at least k of
    analyses/       one question a file -> a frozen result
    findings/       results -> ranked statements, each with its evidence and its mend
    study.py        the conductor: asks everything, returns one frozen Study
    faces/          Study -> what a person sees; chooses and orders, computes nothing

Beside them `engines/` holds the pure mathematics, with no word of our field in it,
and `where.py`, `errors.py` and `units.py` serve everybody.

This file imports nothing, so that `import falsework` costs nothing.
"""

__all__ = ["__version__"]

__version__ = "0.1.0"
