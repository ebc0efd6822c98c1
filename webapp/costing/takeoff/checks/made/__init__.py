"""What must hold of what is made into parts, and of what moves or lives there."""
