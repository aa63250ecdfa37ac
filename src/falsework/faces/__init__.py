"""What does a person see? Faces choose, order and format; they compute nothing."""
