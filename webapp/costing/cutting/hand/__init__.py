"""Plans judged, moved and pinned by hand. Searches nothing."""
