"""In which order is the lab made, what holds it up until it stands, and what is fragile on the way?"""
