"""The pure core: plain values in, plain values out."""
