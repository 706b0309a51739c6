"""Enter: the crops and the shelf."""
