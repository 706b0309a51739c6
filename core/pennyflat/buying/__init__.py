"""The plan: which medium for which crop and which packages, at the least money."""
