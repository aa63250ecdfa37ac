"""Items go into bins: which bin for each, at the least cost, under capacity and rules of company?"""
