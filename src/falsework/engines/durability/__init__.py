"""How long do data last on drives that fail and are rebuilt?

Pure functions over numbers; rates are per second and sizes in bytes unless a docstring says otherwise.
docs/explanation/durability.md tells the formulas with their sources and what they leave out.
"""
