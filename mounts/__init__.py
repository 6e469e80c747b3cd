"""Printed servo mounts for model-railway turnouts. Importing it loads nothing else."""

__version__ = "0.1.0"
