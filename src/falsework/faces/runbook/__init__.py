"""Paper to work from when the lab is dead."""
