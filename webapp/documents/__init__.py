"""The shop's papers: one frozen value for each, and the one place that makes a PDF of it."""
