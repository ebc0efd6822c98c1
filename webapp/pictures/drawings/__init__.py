"""A bench drawn for whoever makes it: every part's place, a cut where parts hide, parts drawn apart, details.

What stands in `pictures.bench` says what is seen and what is hidden; here it is laid out, numbered and dimensioned.
"""
