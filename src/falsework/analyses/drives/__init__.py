"""How are drives laid out best: room, what is survived, how durable, how long a rebuild takes, watts?"""
