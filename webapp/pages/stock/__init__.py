"""What stands in the shop and whose it is: pieces held for jobs, and what is paid instead of them."""
