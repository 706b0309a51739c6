"""Every sowing in every medium, and what would turn the answer."""
