"""What must hold of what was taken off: spans, screws, places, musts. Changes nothing."""
