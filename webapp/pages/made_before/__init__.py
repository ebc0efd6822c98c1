"""The pages that price a bench that was made: what one took is told, what explains the difference is named and kept."""
