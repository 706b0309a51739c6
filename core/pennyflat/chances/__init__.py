"""Probabilities without SciPy: how many come up, which mix is best, what more seeds would tell."""
