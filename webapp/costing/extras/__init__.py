"""What is easily forgotten: its drivers counted and its charges put where they belong.

Decided, and its price:

- Samples, storage and handling of own material are charged as they stand: they are what was agreed, not a cost.
  Price: they take no margin and no discount.
- What is easily forgotten is a table of rules, all off: a shop knows which it wants; nothing changes by itself.
  Price: each rule has to say what it is not to be counted with.
"""
