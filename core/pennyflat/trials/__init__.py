"""What a side-by-side trial shows, and its money."""
