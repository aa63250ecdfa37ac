"""Which of many things that may have happened did, and what would tell?"""
