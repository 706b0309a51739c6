"""What the trade knows: crops, labels, nutrients, salts, symptoms, pasted price lists."""
