"""What may come out otherwise, drawn many times from a fixed seed. Knows no customer."""
