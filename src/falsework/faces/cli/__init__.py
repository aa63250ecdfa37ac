"""What does a person see at the terminal? One file a command, and each loads only when it is asked for."""
