"""What can be made again from the rest when it is destroyed, and what must be saved before?"""
