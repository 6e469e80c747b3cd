"""Room 2: pure mechanics, numbers in, numbers out. No kernel, no files."""
