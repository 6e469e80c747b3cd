"""The page as it is drawn: the only room that imports the library of the web, at its top."""
