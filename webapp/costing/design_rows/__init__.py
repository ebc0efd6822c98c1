"""A design as rows of sentences whose words are fields: what each row says and holds, and how rows are changed."""
