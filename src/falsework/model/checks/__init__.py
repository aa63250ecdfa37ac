"""What in a lab file contradicts itself, topic by topic?"""
