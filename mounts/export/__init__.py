"""Room 6: bytes out. One file format a module; ``commit`` is the only one that touches the disk."""
