"""How are addresses counted, and how are prefixes cut from each other?"""
