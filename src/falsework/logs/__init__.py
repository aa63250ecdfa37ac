"""Lines that machines wrote about themselves: read, set right by the clock, and merged."""
