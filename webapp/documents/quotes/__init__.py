"""The quote as it is printed, frozen when it is issued, and the papers kept with it. Calculates nothing anew."""
