"""Figures, days and pages as every paper writes them, and the process that makes PDFs."""
