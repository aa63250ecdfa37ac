"""What leans on what? The one graph that every analysis asks."""
