"""What is plugged in where, and how much gets through, now and after a loss?"""
