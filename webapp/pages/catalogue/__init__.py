"""The pages of materials, offers and suppliers, with the one reader of a typed price."""
