"""The browser pages of bedstone: a bridge file open on this machine. It holds no engineering."""
