"""Parts at full size: the flat of each by lines and arcs, as a file for other programs and over pages to cut by."""
