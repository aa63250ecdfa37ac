"""Which edits of the lab file would make a finding go away?"""
