"""The one reader and keeper of a typed price, and the page of price files. Knows no sheet."""
