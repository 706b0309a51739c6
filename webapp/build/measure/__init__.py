"""Measuring the page and taking pictures of it, in a browser."""
