"""What a side-by-side trial shows, and what that means in money."""
