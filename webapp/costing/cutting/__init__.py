"""How sheets, lengths and boards are cut. Whole numbers in and out; knows no design, no shop and no figure."""
