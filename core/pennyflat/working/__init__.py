"""The working of every figure, in sentences with the numbers in place."""
