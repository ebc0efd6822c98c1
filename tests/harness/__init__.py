"""What the tests run against: real databases, a real server, a real browser."""
