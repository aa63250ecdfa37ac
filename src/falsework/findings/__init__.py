"""What is worth telling, worst first, with its place, its chain and its mend?"""
