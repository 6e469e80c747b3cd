"""Room 8: what goes to the workbench on paper, as one PDF: vectors, real text, to scale."""
