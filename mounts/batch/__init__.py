"""A whole layout: what is cached stays, the rest is built on all cores, then packed for the printer."""
