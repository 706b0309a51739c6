"""Grow: dates, problems, feed and salts."""
