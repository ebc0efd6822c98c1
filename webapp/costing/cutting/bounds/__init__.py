"""The least that any plan can cost, and the tables and programmes that show it. Makes no plan."""
