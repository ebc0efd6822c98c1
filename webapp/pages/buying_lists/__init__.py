"""The pages of lists that are bought from: made, ticked on a telephone with or without signal, and what jobs paid."""
