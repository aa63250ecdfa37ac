"""What do machines draw, and who carries it, for how long and at what cost?"""
