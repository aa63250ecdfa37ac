"""Which pure computations - booleans, numbers, graphs - does everything else stand on?"""
