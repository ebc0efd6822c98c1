"""A job as it is typed: read, with a sentence for each thing wrong. Works nothing out."""
