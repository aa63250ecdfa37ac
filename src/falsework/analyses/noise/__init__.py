"""How loud is each room, for how long may one stay in it, and what would moving a machine change?"""
