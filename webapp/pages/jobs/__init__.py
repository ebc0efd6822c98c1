"""The pages of jobs: the list, a new one, the sheet kept, the telephone."""
