"""Which smallest change of the lab file would have foretold what was seen?"""
