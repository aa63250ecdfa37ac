"""One question a file: from the typed lab or its support graph to a frozen result."""
