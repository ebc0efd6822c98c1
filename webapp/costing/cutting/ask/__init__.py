"""What is asked of the cutting room and what it answers; what makes no sense is refused here. Searches nothing."""
