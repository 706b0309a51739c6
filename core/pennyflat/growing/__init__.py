"""One sowing in one medium: cells, fill, feed, potting on, dates and cost."""
