"""What can begin when everything needs something else first, and what is the cheapest help?"""
