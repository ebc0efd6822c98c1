"""The working: every figure with its formula in words, its inputs and where they came from.

Knows no rule of the trade.
"""
