"""Is there room for the load and for the data when something is gone?"""
