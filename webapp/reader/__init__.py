"""The reader: language, place, money, measures."""
