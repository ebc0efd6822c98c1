"""The pages of the rack of offcuts."""
