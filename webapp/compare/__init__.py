"""Compare: crops by mixes, and one crop in detail."""
