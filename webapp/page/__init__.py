"""Building blocks of the rooms: templates, fields, origins of values."""
