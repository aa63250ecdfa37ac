"""Fault trees: what one is, how one is read, and the plain way to answer for a small one."""
