"""Bearings: one module a kind, with its mechanics, its parts, its checks and its sizing."""
