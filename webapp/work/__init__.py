"""The work: the document, its edits, the plan for it and the questions about it."""
