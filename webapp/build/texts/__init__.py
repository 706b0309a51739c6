"""What the languages and places take: catalogues, marks of places, phrases found in the source."""
