"""What is bought of each material, from whom, how it comes, and what came off the rack. Knows no hours."""
