"""What the page and a notebook share: charts as plain columns, and the formats of money."""
