"""The pages of designs."""
