"""A finished threading read back aloud: the shafts heard against the shafts expected."""
