"""When is each task done, if tasks wait for each other, for people and for deliveries?"""
