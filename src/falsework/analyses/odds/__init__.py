"""How often is each service out, how long, why, and what would help most?"""
