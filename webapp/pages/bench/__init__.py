"""The pages of what the bench gets beside the pack: files of parts, the cut list as a table, labels and templates."""
