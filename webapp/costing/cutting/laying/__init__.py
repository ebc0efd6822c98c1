"""Laying pieces on sheets one after another, under the rules of saw, router and grain.

Weighs no plan against another.
"""
