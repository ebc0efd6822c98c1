"""The pages of prices: first prices, those in doubt, and files of prices."""
