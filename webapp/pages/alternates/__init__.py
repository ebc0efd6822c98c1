"""The pages of a job's other ways: made by changing what differs, priced side by side, put on the quote as options."""
