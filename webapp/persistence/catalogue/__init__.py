"""Materials, offers, prices and suppliers kept."""
