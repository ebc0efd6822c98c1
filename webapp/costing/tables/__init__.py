"""A table as spreadsheets write it or as it is pasted: parted into rows and cells, its heading found.

Knows nothing of what stands in it: prices, parts, added lines and materials are read by their own rooms.
"""
