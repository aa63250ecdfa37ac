"""What would years of this lab look like?"""
