"""Notes: how it is worked out, from what sources, and what the page is made of."""
