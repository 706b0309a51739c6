"""Several members' plans as one order, and who pays what."""
