"""The bench page: what ``make`` asks and what becomes of it, in a browser of the same machine.

All but ``screen`` is plain functions without the web: fields of the form, answers, bodies, the swing. ``screen`` alone
imports the library that draws the page, at its top, and is imported by ``serve`` when the page is asked for.
"""
