"""Jobs from before this program: a sheet of them read by pointed columns, and which are like a new one."""
