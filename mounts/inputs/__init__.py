"""Room 1: what was asked, checked and in mm. The only room that reads profiles and layout files."""
