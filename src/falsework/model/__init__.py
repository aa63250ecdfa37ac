"""What may a lab file say, and what does it mean? Knows our field, not YAML."""
