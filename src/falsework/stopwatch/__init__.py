"""Asks what users ask, over and over, and notes at once what it is told."""
