"""A design's sweep as its pages show it: asked for, watched, stopped and gone on with, and what it came to."""
