"""Designs found by what somebody asks for: by words, by sizes they can be made in, by limits that they have to keep."""
