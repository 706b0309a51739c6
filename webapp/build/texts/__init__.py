"""What languages and places need: catalogues, formats of places, phrases found in the source."""
