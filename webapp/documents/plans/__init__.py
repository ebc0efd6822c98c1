"""Cut plans drawn and put in tables. Knows no quote."""
