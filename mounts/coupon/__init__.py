"""The test piece: specimens in steps of what a printer decides, how it is read, and the profile that comes of it."""
