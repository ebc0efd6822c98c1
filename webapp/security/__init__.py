"""Who may come in, and what is taken from them: sign-ins, forms' tokens, passwords, headers, limits."""
