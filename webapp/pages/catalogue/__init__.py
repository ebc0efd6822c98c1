"""The pages of materials, offers and suppliers, and of prices in doubt."""
