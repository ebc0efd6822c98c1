"""Jobs from before this program, kept by the sheets that they came in with, each undone as a whole."""
