"""The design form as tables: its sections, its fields and what each may hold."""
