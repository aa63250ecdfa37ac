"""What is to be said of one fault tree?"""
