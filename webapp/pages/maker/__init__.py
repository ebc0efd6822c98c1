"""The page on which a design is made row by row: its rows as sentences, its drawing, problems and price beside them."""
