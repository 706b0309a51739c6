"""Every sowing in every medium, and what would change the answer."""
