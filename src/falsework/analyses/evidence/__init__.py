"""What do the logs say around an event, laid against what was foretold and what was seen?"""
