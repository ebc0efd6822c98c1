"""The pages of earlier jobs: a shop's own sheet brought along, its jobs found, and those like a new one."""
