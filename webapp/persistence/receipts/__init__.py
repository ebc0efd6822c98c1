"""Receipts kept, with their photographs and the prices that follow from them."""
