"""What a person typed and has not saved: kept as it is typed, listed, thrown away."""
