"""Room 5: numbers and meshes in, checks out. It never repairs and never writes."""
