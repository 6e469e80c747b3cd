"""Room 7: what is told of a mount, as report.json and on the terminal."""
