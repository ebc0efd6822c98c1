"""The pages of receipts: taken in, put right, looked at with their photographs."""
