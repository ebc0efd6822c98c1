"""Lists that are bought from, as they were made, and what was entered at them, in rows that are only ever added."""
