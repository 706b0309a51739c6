"""What the rooms are made of: templates filled in, fields, origins of values."""
