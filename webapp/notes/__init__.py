"""Notes: the method, the sources, and what the page is made of."""
