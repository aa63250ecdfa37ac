"""What do years of breaking and mending look like, drawn at random many times?"""
