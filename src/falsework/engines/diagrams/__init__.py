"""Decision diagrams: building them, reading them out in bulk, and what can be read off them."""
