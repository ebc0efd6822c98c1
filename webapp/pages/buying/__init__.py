"""The pages of what a job buys, and of jobs bought for together."""
