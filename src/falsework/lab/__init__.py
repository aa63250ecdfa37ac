"""What does a lab file say? Text becomes a tree that knows its places, and changes back into text."""
