"""How often is something out, and for how long, where a formula can say?

Pure functions over numbers and arrays; arguments broadcast.
Wherever a rate meets a time they must be in the same unit of time, whichever that is.
docs/explanation/formulas.md lists every formula with its source and where it holds.
"""
