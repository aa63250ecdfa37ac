"""How much flows through a graph whose links carry only so much?"""
