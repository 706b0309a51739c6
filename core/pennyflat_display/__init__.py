"""What the page and a notebook show alike: charts as plain columns, and how money is written."""
