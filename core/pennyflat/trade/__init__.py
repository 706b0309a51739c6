"""What the trade knows: crops, labels, salts, pasted price lists."""
