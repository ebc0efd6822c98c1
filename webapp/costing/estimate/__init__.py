"""The whole estimate of a job, its snapshot and its comparisons. Nothing else in costing may import it."""
