"""A design's document changed as a whole: units written in where a length is meant, names followed to wherever they
stand."""
