"""The pages of cut plans: looked at, pinned and moved by hand."""
