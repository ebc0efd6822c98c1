"""Who may come in, and what is taken from them: sign-ins, forms' tokens, passwords, headers, limits.

Decided, and its price:

- Tries at passwords stand in one line of their own, and hashes are worked out in one gentle thread: a storm of them
  holds up nobody's pages, and each is counted before the next. Price: in a storm a sign-in waits some seconds, or is
  asked to come again.
"""
