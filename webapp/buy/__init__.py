"""Buy: the recommendation, the list, the questions before paying."""
