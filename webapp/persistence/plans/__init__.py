"""Cut plans kept by their keys, and the tasks of the worker that betters them."""
