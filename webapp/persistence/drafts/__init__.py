"""What somebody typed in a form and has not saved, kept for that person alone."""
