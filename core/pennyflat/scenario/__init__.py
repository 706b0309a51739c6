"""The scenario document: its records, reading and checking it, writing it, links."""
