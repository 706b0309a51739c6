"""A scenario live in a notebook or under `panel serve`; only this needs Panel and pandas."""
