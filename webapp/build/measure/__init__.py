"""Measures the page and takes pictures of it in a browser."""
