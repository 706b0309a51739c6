"""Trials: the bench."""
